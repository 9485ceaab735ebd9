import { type ChildProcess, spawn } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { afterAll, beforeAll, expect, test } from "vitest";
import { installQueue } from "../../lib/jobs/boss.ts";
import { uploadFolder } from "../../lib/jobs/upload-folder.ts";
import { type Actor, LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { dataFolderId } from "../../lib/store/data-folder.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { createImport } from "../../lib/writes/import-drop.ts";
import { BASE_DROP, dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

// Workers as processes of their own, each with a data folder of its own as on hosts of their own, and one queue.
const database = useTestDatabase();
const hosts = mkdtempSync(path.join(os.tmpdir(), "raintrip-hosts-"));
const root = path.resolve(import.meta.dirname, "../..");
const workers = new Map<string, { child: ChildProcess; said: () => string }>();
const ACCOUNTS = [1, 2];
const actorOf = (accountId: number): Actor => ({ ...LOCAL_ACTOR, accountId });

function startHost(name: string): void {
  const child = spawn(process.execPath, ["--conditions=react-server", "--import", "tsx", "lib/cli/main.ts", "worker"], {
    cwd: root,
    env: {
      ...process.env,
      RAINTRIP_ADDRESS: JSON.stringify(database().address),
      RAINTRIP_DATA: path.join(hosts, name),
      RAINTRIP_LOG: "info",
      RAINTRIP_POOL_SIZE: "4",
    },
    stdio: ["ignore", "ignore", "pipe"],
  });
  let said = "";
  child.stderr?.on("data", (chunk) => {
    said += chunk;
  });
  workers.set(name, { child, said: () => said });
}

/** What a host's worker did, by its log: one line a job. */
const doneBy = (name: string, queue: string) =>
  (workers.get(name)?.said() ?? "")
    .split("\n")
    .filter((line) => line.includes('"job done"') && line.includes(`"${queue}"`)).length;

beforeAll(async () => {
  await installQueue(database().address);
  for (const id of ACCOUNTS.slice(1)) await addAccount(id);
});
afterAll(async () => {
  delete process.env.RAINTRIP_DATA;
  await Promise.all(
    [...workers.values()].map(async ({ child }) => {
      if (child.exitCode !== null || child.signalCode !== null) return;
      const gone = new Promise((resolve) => child.once("exit", resolve));
      child.kill("SIGTERM");
      await gone;
    }),
  );
  rmSync(hosts, { recursive: true, force: true });
});

async function addAccount(id: number): Promise<void> {
  const { default: postgres } = await import("postgres");
  const owner = postgres(database().address.ownerUrl, { max: 1, onnotice: () => {} });
  await owner.begin(async (tx) => {
    await tx`SELECT set_config('raintrip.account', ${String(id)}, true)`;
    await tx`INSERT INTO account (account_id, name) VALUES (${id}, ${`Account ${id}`})`;
  });
  await owner.end();
}

/** An upload as a web server of that host leaves it. */
async function uploadAt(host: string, accountId: number): Promise<string> {
  process.env.RAINTRIP_DATA = path.join(hosts, host);
  const importId = await createImport(actorOf(accountId), { name: `upload at ${host}`, heldAt: dataFolderId() });
  mkdirSync(path.dirname(uploadFolder(importId)), { recursive: true });
  cpSync(dropFolder(BASE_DROP), uploadFolder(importId), { recursive: true });
  return importId;
}

const state = async (accountId: number) =>
  readTransaction(actorOf(accountId), async (tx) => ({
    imports: await tx<
      { import_id: string; status: string; error: string | null }[]
    >`SELECT import_id, status, error FROM import_drop ORDER BY import_id`,
    starts: await tx<{ subject: string }[]>`SELECT subject FROM audit_entry WHERE action = 'import.start'`,
    files: await tx<
      { ok: boolean }[]
    >`SELECT status = 'done' AND rows = accepted + unchanged + set_aside AS ok FROM import_file`,
    standing: await tx<{ site_id: string }[]>`SELECT site_id FROM standing WHERE ranked ORDER BY 1`,
    scores: await tx<{ n: number }[]>`SELECT count(*)::int AS n FROM score GROUP BY site_id, input_hash`,
    faults: (await tx<{ n: number }[]>`SELECT count(*)::int AS n FROM fault`)[0]?.n,
  }));

async function until(what: string, holds: () => Promise<boolean>): Promise<void> {
  for (let i = 0; i < 900; i++) {
    if (await holds()) return;
    await sleep(100);
  }
  throw new Error(
    `${what} did not come about; ${[...workers].map(([name, { said }]) => `${name}: ${said().slice(-1500)}`).join("\n")}`,
  );
}
const allDone = async () => {
  for (const id of ACCOUNTS) {
    const { imports, standing } = await state(id);
    if (imports.some((one) => one.status !== "done") || standing.length < 2) return false;
  }
  return true;
};

test("two hosts' workers share one queue: each upload is run by the host that holds it, once, and nothing is lost when one is killed", async () => {
  const hostNames = ["east", "west"];
  const at = new Map<string, { accountId: number; importId: string }[]>();
  for (const [i, name] of hostNames.entries()) {
    const made = [];
    for (const accountId of ACCOUNTS) made.push({ accountId, importId: await uploadAt(name, accountId) });
    at.set(name, made);
    if (i === 0) expect(readFileSync(path.join(hosts, name, "folder-id"), "utf8")).toHaveLength(36);
  }
  for (const name of hostNames) startHost(name);
  // Killed in the middle of its work, and started again as its supervisor would.
  await until("a first import of the west host", async () => doneBy("west", "import.run") > 0);
  workers.get("west")?.child.kill("SIGKILL");
  const before = workers.get("west")?.said() ?? "";
  startHost("west");
  await until("the end of all work", allDone);

  const one = await state(1);
  for (const accountId of ACCOUNTS) {
    const here = await state(accountId);
    expect(here.imports.map(({ status, error }) => [status, error])).toEqual(hostNames.map(() => ["done", null]));
    expect(here.files.length).toBe(hostNames.length * Object.keys(BASE_DROP).length);
    expect(here.files.every(({ ok }) => ok)).toBe(true);
    // Begun once each; the one that the kill met may have been begun again, and is there once all the same.
    const starts = here.starts.map((row) => row.subject);
    for (const [name, made] of at)
      for (const { importId } of made.filter((upload) => upload.accountId === accountId))
        expect(starts.filter((subject) => subject === importId).length, name).toBeLessThanOrEqual(
          name === "west" ? 2 : 1,
        );
    expect(here.faults).toBe(one.faults);
    expect(here.standing).toEqual(one.standing);
    expect(here.scores.every(({ n }) => n === 1)).toBe(true);
  }
  // All of them worked, and no host passed an upload of its own on.
  for (const name of hostNames)
    expect(doneBy(name, "import.run") + (name === "west" ? before.split('"job done"').length - 1 : 0)).toBeGreaterThan(
      0,
    );
  const left = await database().sql<
    { n: number }[]
  >`SELECT count(*)::int AS n FROM pgboss.job WHERE name = 'import.run' AND state = 'failed'`;
  expect(left[0]?.n).toBe(0);
});

test("an upload whose host is away waits for it, and runs when it is back", async () => {
  const importId = await uploadAt("south", 1);
  const { QUEUES, startBoss } = await import("../../lib/jobs/boss.ts");
  const boss = await startBoss(database().address, false);
  await boss.send(QUEUES.importRun, { accountId: 1, importId });
  // The others see it and pass it on.
  await until("a job passed on", async () => {
    const [row] = await database().sql<
      { n: number }[]
    >`SELECT count(*)::int AS n FROM pgboss.job WHERE name = 'import.run' AND (data->>'passed')::int >= 1`;
    return (row?.n ?? 0) > 0;
  });
  const waiting = await state(1);
  expect(waiting.imports.find((one) => one.import_id === importId)?.status).toBe("waiting");
  startHost("south");
  await until("the import of the south host", async () =>
    (await state(1)).imports.every((one) => one.status === "done"),
  );
  await boss.stop({ graceful: false });
});
