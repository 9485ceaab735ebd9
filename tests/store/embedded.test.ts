import { spawn } from "node:child_process";
import { chmodSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import postgres from "postgres";
import { afterAll, describe, expect, test } from "vitest";
import { attachEmbedded, leftBehind, releaseEmbedded } from "../../lib/store/embedded.ts";

const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-embedded-"));
chmodSync(folder, 0o755);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const state = () =>
  JSON.parse(readFileSync(path.join(folder, "run", "database.json"), "utf8")) as { pid: number; postgresPid: number };
const alive = (pid: number) => {
  try {
    process.kill(pid, 0);
    return true;
  } catch {
    return false;
  }
};

async function answers(url: string): Promise<boolean> {
  const sql = postgres(url, { max: 1, connect_timeout: 5, onnotice: () => {} });
  const rows = await sql`SELECT 1 AS one`;
  await sql.end();
  return rows[0]?.one === 1;
}

describe("attachEmbedded", () => {
  test("starts once for several who ask at the same moment, and stops when the last lets go", async () => {
    const [a, b] = await Promise.all([attachEmbedded(folder), attachEmbedded(folder)]);
    expect(a).toEqual(b);
    expect(await answers(a.bootstrapUrl as string)).toBe(true);
    const { pid, postgresPid } = state();
    await releaseEmbedded(folder);
    expect(alive(pid)).toBe(false);
    expect(alive(postgresPid)).toBe(false);
  });

  test("comes back after its host and server were killed, on the same data", async () => {
    const first = await attachEmbedded(folder);
    const sql = postgres(first.bootstrapUrl as string, { max: 1 });
    await sql`CREATE TABLE IF NOT EXISTS kept (n int)`;
    await sql`INSERT INTO kept VALUES (7)`;
    await sql.end();
    const killed = state();
    process.kill(killed.pid, "SIGKILL"); // the host dies, its server lives on and holds the folder
    await sleep(100);
    const second = await attachEmbedded(folder);
    expect(state().pid).not.toBe(killed.pid);
    const again = postgres(second.bootstrapUrl as string, { max: 1 });
    expect((await again`SELECT n FROM kept`)[0]?.n).toBe(7);
    await again.end();
    const both = state();
    process.kill(both.pid, "SIGKILL");
    process.kill(both.postgresPid, "SIGKILL"); // leaves a stale lock file
    await sleep(200);
    expect(leftBehind(folder)).toBe(true);
    const third = await attachEmbedded(folder);
    expect(await answers(third.bootstrapUrl as string)).toBe(true);
    await releaseEmbedded(folder);
  });

  test("does not outlive a process that was killed while it used the server", async () => {
    const script = `import { attachEmbedded } from ${JSON.stringify(path.resolve("lib/store/embedded.ts"))};
      await attachEmbedded(${JSON.stringify(folder)}); console.log("up"); setInterval(() => {}, 1000);`;
    const file = path.join(folder, "owner.mts");
    writeFileSync(file, script);
    const owner = spawn(process.execPath, ["--import", "tsx", file], {
      stdio: ["ignore", "pipe", "inherit"],
      cwd: path.resolve("."),
    });
    await new Promise<void>((resolve) => owner.stdout.once("data", () => resolve()));
    const { pid, postgresPid } = state();
    owner.kill("SIGKILL");
    for (let i = 0; i < 100 && (alive(pid) || alive(postgresPid)); i++) await sleep(100);
    expect([alive(pid), alive(postgresPid)]).toEqual([false, false]);
    expect(existsSync(path.join(folder, "run", "host.lock"))).toBe(false);
  });
});
