import { type createWriteStream, mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { Writable } from "node:stream";
import postgres from "postgres";
import { afterAll, beforeAll, beforeEach, describe, expect, inject, test, vi } from "vitest";
import { answer } from "../../app/api/answer.ts";
import { installQueue } from "../../lib/jobs/boss.ts";
import { runImportJob } from "../../lib/jobs/import-run.ts";
import { uploadFolder } from "../../lib/jobs/upload-folder.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { passingTrouble } from "../../lib/store/passing-trouble.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { createImport } from "../../lib/writes/import-drop.ts";
import { makeBackup } from "../../lib/writes/make-backup.ts";
import { receiveUpload } from "../../lib/writes/receive-upload.ts";
import { keepVisitPhoto } from "../../lib/writes/visit-photo.ts";
import { BASE_DROP } from "../support/drop-folder.ts";
import { renamed } from "../support/renamed.ts";
import { fileRequest, samplePng } from "../support/sample-files.ts";
import { useTestDatabase } from "../support/test-database.ts";

// A disk that is full after so many bytes; null: the real one.
const disk = vi.hoisted(() => ({ room: null as number | null }));
vi.mock("node:fs", async (original) => {
  const real = await original<typeof import("node:fs")>();
  return {
    ...real,
    writeFileSync: ((file: string, bytes: Uint8Array, options: object) => {
      if (disk.room === null || bytes.length <= disk.room) return real.writeFileSync(file, bytes, options);
      real.writeFileSync(file, bytes.subarray(0, disk.room));
      throw Object.assign(new Error("ENOSPC: no space left on device, write"), { code: "ENOSPC" });
    }) as typeof real.writeFileSync,
    createWriteStream: ((file: string, options: object) => {
      if (disk.room === null) return real.createWriteStream(file, options);
      let left = disk.room;
      return new Writable({
        write(chunk: Buffer, _encoding, done) {
          left -= chunk.length;
          done(
            left < 0 ? Object.assign(new Error("ENOSPC: no space left on device, write"), { code: "ENOSPC" }) : null,
          );
        },
      });
    }) as typeof createWriteStream,
  };
});

const database = useTestDatabase();
const data = mkdtempSync(path.join(os.tmpdir(), "raintrip-trouble-"));
let owner: postgres.Sql;
beforeAll(async () => {
  process.env.RAINTRIP_DATA = data;
  await installQueue(database().address);
  const name = new URL(database().address.ownerUrl).pathname.slice(1);
  owner = postgres(renamed(inject("adminUrl"), name), { max: 1, onnotice: () => {} });
});
beforeEach(() => {
  disk.room = null;
});
afterAll(async () => {
  await owner.end();
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

const FAULTS = 30_000;
const faults = `site_id,inverter_id,started_at,code\n${Array.from(
  { length: FAULTS },
  (_, i) => `S1,I1,${new Date(Date.UTC(2026, 0, 1) + i * 600_000).toISOString()},1`,
).join("\n")}\n`;

async function upload(): Promise<string> {
  const importId = await createImport(LOCAL_ACTOR, { name: "upload" });
  mkdirSync(uploadFolder(importId), { recursive: true });
  for (const [name, text] of Object.entries({ ...BASE_DROP, "faults.csv": faults }))
    writeFileSync(path.join(uploadFolder(importId), name), text);
  return importId;
}
const run = (importId: string) => runImportJob(database(), LOCAL_ACTOR, importId, new AbortController().signal);
const stateOf = async (importId: string) => {
  const [row] = await readTransaction(
    LOCAL_ACTOR,
    (tx) =>
      tx<
        { status: string; error: string | null }[]
      >`SELECT status, error FROM import_drop WHERE import_id = ${importId}`,
  );
  return { ...row };
};
const faultCount = async () => Number((await owner`SELECT count(*)::int AS n FROM fault`)[0]?.n);

describe("trouble that passes", () => {
  test("a full disk under the database leaves the import waiting with its reason, and it goes on when there is room", async () => {
    await owner.unsafe(`CREATE FUNCTION full_disk() RETURNS trigger LANGUAGE plpgsql AS
      $$ BEGIN RAISE EXCEPTION 'could not extend file: No space left on device' USING ERRCODE = '53100'; END $$`);
    await owner.unsafe("CREATE TRIGGER full_disk BEFORE INSERT ON fault FOR EACH ROW EXECUTE FUNCTION full_disk()");
    const importId = await upload();
    await expect(run(importId)).rejects.toMatchObject({ code: "53100" });
    expect(await stateOf(importId)).toEqual({ status: "running", error: expect.stringContaining("The disk is full") });
    expect(await faultCount()).toBe(0);
    await owner.unsafe("DROP TRIGGER full_disk ON fault; DROP FUNCTION full_disk()");
    await run(importId);
    expect(await stateOf(importId)).toEqual({ status: "done", error: null });
    expect(await faultCount()).toBe(FAULTS);
    const files =
      await owner`SELECT file, rows, accepted, unchanged, set_aside FROM import_file WHERE import_id = ${importId} AND file = 'faults.csv'`;
    expect(files[0]).toMatchObject({ rows: String(FAULTS), accepted: String(FAULTS), set_aside: "0" });
  });

  test("a connection that is cut in the middle leaves the import to the next round, which finds the same rows", async () => {
    await owner`DELETE FROM fault`;
    const importId = await upload();
    const running = run(importId);
    running.catch(() => {});
    for (let i = 0; i < 400; i++) {
      const cut = await owner`
        SELECT pg_terminate_backend(pid) FROM pg_stat_activity
        WHERE datname = current_database() AND pid <> pg_backend_pid() AND query LIKE '%import_staging%'`;
      if (cut.length > 0) break;
      await new Promise((resolve) => setTimeout(resolve, 5));
    }
    await expect(running).rejects.toThrow();
    expect((await stateOf(importId)).status).toBe("running");
    await run(importId);
    expect((await stateOf(importId)).status).toBe("done");
    expect(await faultCount()).toBe(FAULTS);
  });

  test("a full disk under an upload is said with what to do, and nothing of the upload is kept", async () => {
    disk.room = 50_000;
    const body = new Blob([faults]).stream() as ReadableStream<Uint8Array>;
    await expect(
      receiveUpload(LOCAL_ACTOR, { file: "faults.csv" }, new Headers({ "content-type": "text/csv" }), body),
    ).rejects.toMatchObject({
      code: "disk_full",
      message: expect.stringMatching(/no room left .* Free some space, then send the files again/),
    });
    expect(readdirSync(path.join(data, "uploads")).filter((name) => name.endsWith(".arriving"))).toEqual([]);
    expect(await owner`SELECT 1 FROM import_drop WHERE status = 'waiting'`).toHaveLength(0);
  });

  test("a full disk under a photo keeps it on the phone, and under a backup leaves no half of it", async () => {
    const picture = samplePng(7);
    const query = { photo_id: "00000000-0000-4000-8000-00000000abcd", visit_id: "V1", site_id: "S1", item: "lock" };
    disk.room = 10;
    // 507: the phone sends it again, as it does after everything but what the server will never take.
    await expect(keepVisitPhoto(LOCAL_ACTOR, query, fileRequest(picture))).rejects.toMatchObject({
      code: "disk_full",
      message: expect.stringContaining("stays on the phone"),
    });
    expect(readdirSync(path.join(data, "visit-photos"))).toEqual([]);
    expect(await owner`SELECT 1 FROM visit_photo`).toHaveLength(0);
    const file = path.join(data, "all.backup");
    await expect(makeBackup(LOCAL_ACTOR, database(), { file, madeAt: 0 })).rejects.toMatchObject({
      code: "file_unreadable",
      message: expect.stringContaining("with room"),
    });
    disk.room = null;
    expect(readdirSync(data).filter((name) => name.includes("backup"))).toEqual([]);
    await makeBackup(LOCAL_ACTOR, database(), { file, madeAt: 0 });
  });

  test("a request that meets either is answered with what to do, and its cause is in the log alone", async () => {
    const thrown = (code: string) => async () => {
      throw Object.assign(new Error("could not write to the secret place"), { code });
    };
    const full = await answer(thrown("53100"));
    expect([full.status, (await full.json()).error.message]).toEqual([507, expect.stringContaining("disk is full")]);
    const away = await answer(thrown("57P01"));
    expect([away.status, away.headers.get("retry-after")]).toEqual([503, "10"]);
    const text = await away.text();
    expect(text).toContain("database cannot be reached");
    expect(text).not.toContain("secret place");
    expect((await answer(thrown("23505"))).status).toBe(500);
    // For real: every connection of the application is cut while a door waits for its answer.
    const waiting = answer(() => readTransaction(LOCAL_ACTOR, (tx) => tx`SELECT pg_sleep(30)`));
    for (let cut = 0; cut === 0; )
      cut = (
        await owner`SELECT pg_terminate_backend(pid) FROM pg_stat_activity
          WHERE datname = current_database() AND pid <> pg_backend_pid() AND query LIKE '%pg_sleep(30)%'`
      ).length;
    expect((await waiting).status).toBe(503);
    expect((await answer(() => readTransaction(LOCAL_ACTOR, (tx) => tx`SELECT 1`))).status).toBe(200);
  });

  test("an import of the command line whose process died is ended in words, not tried without its files", async () => {
    const importId = await createImport(LOCAL_ACTOR, { name: "from the command line" });
    await run(importId);
    expect(await stateOf(importId)).toEqual({ status: "failed", error: expect.stringContaining("Run it again") });
  });

  test("what passes is told from what does not", () => {
    expect(passingTrouble(Object.assign(new Error(), { code: "57P01" }))).toContain("connection");
    expect(passingTrouble(Object.assign(new Error(), { code: "ENOSPC" }))).toContain("disk is full");
    expect(passingTrouble(Object.assign(new Error(), { code: "40P01" }))).toContain("try again");
    expect(passingTrouble(Object.assign(new Error(), { code: "23505" }))).toBeNull();
    expect(passingTrouble(new Error("plain"))).toBeNull();
  });
});
