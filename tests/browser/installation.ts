import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { chmodSync, mkdtempSync, rmSync } from "node:fs";
import net from "node:net";
import os from "node:os";
import path from "node:path";
import { test as base, expect } from "@playwright/test";

const root = path.resolve(import.meta.dirname, "..", "..");

function freePort(): Promise<number> {
  return new Promise((resolve) => {
    const probe = net.createServer().listen(0, "127.0.0.1", () => {
      const { port } = probe.address() as net.AddressInfo;
      probe.close(() => resolve(port));
    });
  });
}

export interface Installation {
  url: string;
  /** Stop the server and start it again on its data, at the same address. */
  restart: () => Promise<void>;
  /** Run a command of the same installation. */
  raintrip: (args: string[]) => { code: number | null; out: string; err: string };
}

/** `npm start` in a data folder of its own, stopped and removed at the end. */
async function start(demo: boolean): Promise<Installation & { stop: () => Promise<void> }> {
  const data = mkdtempSync(path.join(os.tmpdir(), "raintrip-browser-"));
  chmodSync(data, 0o755);
  const port = await freePort();
  const { DATABASE_URL: _, ...inherited } = process.env;
  const env = { ...inherited, RAINTRIP_DATA: data, PORT: String(port), RAINTRIP_DEMO: demo ? "1" : "0" };
  const run = async () => {
    const started = spawn(process.execPath, ["lib/cli/start.mjs"], {
      cwd: root,
      env,
      stdio: ["ignore", "pipe", "pipe"],
    });
    await ready(started);
    return started;
  };
  let server = await run();
  const end = async () => {
    const gone = new Promise((resolve) => server.once("exit", resolve));
    server.kill("SIGINT");
    await gone;
  };
  const restart = async () => {
    await end();
    server = await run();
  };
  const raintrip = (args: string[]) => {
    const done = spawnSync(
      process.execPath,
      ["--conditions=react-server", "--import", "tsx", "lib/cli/main.ts", ...args],
      { cwd: root, env, encoding: "utf8", maxBuffer: 64 * 1024 * 1024 },
    );
    return { code: done.status, out: done.stdout, err: done.stderr };
  };
  const stop = async () => {
    await end();
    rmSync(data, { recursive: true, force: true });
  };
  return { url: `http://localhost:${port}`, raintrip, restart, stop };
}

function ready(server: ChildProcess): Promise<void> {
  return new Promise((resolve, reject) => {
    let said = "";
    const hear = (chunk: Buffer) => {
      said += chunk.toString();
      if (said.includes("Raintrip is ready")) resolve();
    };
    server.stdout?.on("data", hear);
    server.stderr?.on("data", hear);
    server.once("exit", (code) => reject(new Error(`npm start ended with ${code}:\n${said}`)));
  });
}

/** `empty`: a fresh installation. `demo`: one that loaded the demo fleet at its first start. */
export const test = base.extend<object, { empty: Installation; demo: Installation }>({
  empty: [
    // biome-ignore lint/correctness/noEmptyPattern: Playwright reads the pattern
    async ({}, use) => {
      const made = await start(false);
      await use(made);
      await made.stop();
    },
    { scope: "worker", timeout: 300_000 },
  ],
  demo: [
    // biome-ignore lint/correctness/noEmptyPattern: Playwright reads the pattern
    async ({}, use) => {
      const made = await start(true);
      await use(made);
      await made.stop();
    },
    { scope: "worker", timeout: 300_000 },
  ],
});
export { expect };
