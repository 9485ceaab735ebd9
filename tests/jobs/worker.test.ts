import { cpSync, mkdirSync, mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { installQueue } from "../../lib/jobs/boss.ts";
import { holdingLock } from "../../lib/jobs/hold-lock.ts";
import { importLockKey } from "../../lib/jobs/import-lock.ts";
import { uploadFolder } from "../../lib/jobs/upload-folder.ts";
import { startWorker } from "../../lib/jobs/worker.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction, systemTransaction } from "../../lib/store/transaction.ts";
import { createImport } from "../../lib/writes/import-drop.ts";
import { BASE_DROP, dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();
const data = mkdtempSync(path.join(os.tmpdir(), "raintrip-jobs-"));
beforeAll(async () => {
  process.env.RAINTRIP_DATA = data;
  await installQueue(database().address);
});
afterAll(() => {
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

const statusOf = async (importId: string) =>
  (
    await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<{ status: string }[]>`SELECT status FROM import_drop WHERE import_id = ${importId}`,
    )
  )[0]?.status;
const scored = async () => (await readTransaction(LOCAL_ACTOR, (tx) => tx`SELECT site_id FROM standing`)).length;

async function until(holds: () => Promise<boolean>): Promise<void> {
  for (let i = 0; i < 300 && !(await holds()); i++) await sleep(100);
  expect(await holds()).toBe(true);
}

/** An upload as the page leaves it: files on disk, the import waiting, nobody told. */
async function upload(): Promise<string> {
  const importId = await createImport(LOCAL_ACTOR, { name: "upload" });
  mkdirSync(path.dirname(uploadFolder(importId)), { recursive: true });
  cpSync(dropFolder(BASE_DROP), uploadFolder(importId), { recursive: true });
  return importId;
}

describe("startWorker", () => {
  test("takes up a waiting import that nobody told it of, and one whose worker died in the middle, then scores", async () => {
    const waiting = await upload();
    const orphan = await upload();
    await systemTransaction(
      LOCAL_ACTOR,
      (tx) => tx`UPDATE import_drop SET status = 'running', started_at = now() WHERE import_id = ${orphan}`,
    );
    const stop = await startWorker(database());
    await until(async () => (await statusOf(waiting)) === "done" && (await statusOf(orphan)) === "done");
    await until(async () => (await scored()) === 2);
    await stop();
    const files = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx`SELECT rows = accepted + unchanged + set_aside AS adds_up FROM import_file`,
    );
    expect(files).toHaveLength(6);
    expect(files.every((f) => f.adds_up)).toBe(true);
  });

  test("leaves an import alone that the command line runs beside it, and ends one whose command line is no more", async () => {
    const importId = await createImport(LOCAL_ACTOR, { name: "from the command line" });
    await systemTransaction(
      LOCAL_ACTOR,
      (tx) => tx`UPDATE import_drop SET status = 'running', started_at = now() WHERE import_id = ${importId}`,
    );
    const lock = importLockKey(LOCAL_ACTOR.accountId, importId);
    await holdingLock(database(), lock, { waits: true }, async () => {
      const stop = await startWorker(database());
      await sleep(2500);
      await stop();
      expect(await statusOf(importId)).toBe("running");
    });
    const stop = await startWorker(database());
    await until(async () => (await statusOf(importId)) === "failed");
    await stop();
  });

  test("two workers run one import once", async () => {
    const importId = await upload();
    const stops = await Promise.all([startWorker(database()), startWorker(database())]);
    await until(async () => (await statusOf(importId)) === "done");
    await Promise.all(stops.map((stop) => stop()));
    const entries = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx`SELECT 1 FROM audit_entry WHERE subject = ${importId} AND action = 'import.start'`,
    );
    expect(entries).toHaveLength(1);
  });
});
