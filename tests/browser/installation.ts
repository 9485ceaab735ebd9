import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { chmodSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { type BrowserContext, test as base, expect } from "@playwright/test";
import type { Role } from "../../lib/core/permissions.ts";
import { freePort } from "../support/free-port.mjs";

const root = path.resolve(import.meta.dirname, "..", "..");

export const PASSWORD = "wet clips trip twice";
const SET_UP = /\/join#(join-[\w-]+)/;

export interface Installation {
  url: string;
  /** Stop the server and start it again on its data, at the same address. */
  restart: () => Promise<void>;
  /** Stop its database, keep it from being started again while `work` is done, then let it come back. */
  withoutDatabase: (work: () => Promise<void>) => Promise<void>;
  /** What `npm start` has said so far. */
  said: () => string;
  /** Run a command of the same installation. */
  raintrip: (args: string[]) => { code: number | null; out: string; err: string };
  /**
   * Sign a browser in: on the demo as its person of that role, on an empty installation as the administrator who set it
   * up. The fixtures do it for the browser of the test, as an administrator.
   */
  signIn: (context: BrowserContext, role?: Role) => Promise<void>;
  /** A token for the API with every scope. */
  token: () => string;
}

/** `npm start` in a data folder of its own, stopped and removed at the end. */
async function start(demo: boolean): Promise<Installation & { stop: () => Promise<void> }> {
  const data = mkdtempSync(path.join(os.tmpdir(), "raintrip-browser-"));
  chmodSync(data, 0o755);
  const port = await freePort();
  const { DATABASE_URL: _, ...inherited } = process.env;
  const url = `http://localhost:${port}`;
  const env = {
    ...inherited,
    RAINTRIP_DATA: data,
    PORT: String(port),
    RAINTRIP_DEMO: demo ? "1" : "0",
    RAINTRIP_LOG: "info",
  };
  const run = async () => {
    const started = spawn(process.execPath, ["lib/cli/start.mjs"], {
      cwd: root,
      env,
      stdio: ["ignore", "pipe", "pipe"],
    });
    said = await ready(started);
    return started;
  };
  let said = () => "";
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
  const withoutDatabase = async (work: () => Promise<void>) => {
    const { pid, postgresPid } = JSON.parse(readFileSync(path.join(data, "run", "database.json"), "utf8"));
    // While its host stands still nobody knows that the server is gone. The web server may be lost with it, and is started again.
    process.kill(pid, "SIGSTOP");
    try {
      process.kill(postgresPid, "SIGINT");
      const status = () =>
        fetch(`${url}/api/health/ready`).then(
          (reply) => reply.status,
          () => 0,
        );
      await expect.poll(status, { timeout: 60_000 }).toBe(503);
      await work();
    } finally {
      process.kill(pid, "SIGCONT");
    }
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
  const people = new Map<string, Promise<string>>();
  /** The link is printed about when the server is ready. */
  const setUp = async () => {
    for (let tries = 0; tries < 100 && !SET_UP.test(said()); tries++) await new Promise((r) => setTimeout(r, 100));
    return SET_UP.exec(said())?.[1];
  };
  const enter = async (role: Role) =>
    demo
      ? sessionFrom(`${url}/api/auth/sign-in/demo`, url, { person: `demo-${role}` })
      : sessionFrom(`${url}/api/auth/join`, url, {
          ...{ token: await setUp(), name: "First Administrator", email: "first@example.test", password: PASSWORD },
        });
  const signIn = async (context: BrowserContext, role: Role = "administrator") => {
    const made = people.get(role) ?? enter(role);
    people.set(role, made);
    const [name, value] = (await made).split("=") as [string, string];
    await context.addCookies([{ name, value, url, httpOnly: true, sameSite: "Lax" }]);
  };
  let token: string | undefined;
  const giveToken = () => {
    token ??= raintrip(["token", "browser tests"]).out.trim();
    return token;
  };
  return { url, said: () => said(), raintrip, signIn, token: giveToken, restart, withoutDatabase, stop };
}

/** The session cookie, `name=value`, that a way of signing in gives. */
async function sessionFrom(address: string, origin: string, body: unknown): Promise<string> {
  const ask = () =>
    fetch(address, {
      method: "POST",
      headers: { "content-type": "application/json", origin },
      body: JSON.stringify(body),
    });
  let reply = await ask();
  // All roles at once are more than one person would sign in as: wait as told.
  for (let tries = 0; reply.status === 429 && tries < 4; tries++) {
    await new Promise((resolve) =>
      setTimeout(resolve, 1000 * Math.max(1, Number(reply.headers.get("x-retry-after")) || 11)),
    );
    reply = await ask();
  }
  const cookie = reply.headers.getSetCookie().find((line) => line.includes("session_token="));
  if (!cookie) throw new Error(`${address} gave no session: ${reply.status} ${await reply.text()}`);
  return cookie.split(";")[0] as string;
}

function ready(server: ChildProcess): Promise<() => string> {
  return new Promise((resolve, reject) => {
    let said = "";
    const hear = (chunk: Buffer) => {
      said += chunk.toString();
      if (said.includes("Raintrip is ready")) resolve(() => said);
    };
    server.stdout?.on("data", hear);
    server.stderr?.on("data", hear);
    server.once("exit", (code) => reject(new Error(`npm start ended with ${code}:\n${said}`)));
  });
}

/**
 * `empty`: a fresh installation. `demo`: one that loaded the demo fleet at its first start. Both with the browser of the test
 * signed in as an administrator; `emptyServer` and `demoServer` are the same without. `fresh`: one that nobody has used.
 */
export const test = base.extend<
  { empty: Installation; demo: Installation; fresh: Installation },
  { emptyServer: Installation; demoServer: Installation }
>({
  // biome-ignore lint/correctness/noEmptyPattern: Playwright reads the pattern
  fresh: async ({}, use) => {
    const made = await start(false);
    await use(made);
    await made.stop();
  },
  empty: async ({ emptyServer, context }, use) => {
    await emptyServer.signIn(context);
    await use(emptyServer);
  },
  demo: async ({ demoServer, context }, use) => {
    await demoServer.signIn(context);
    await use(demoServer);
  },
  emptyServer: [
    // biome-ignore lint/correctness/noEmptyPattern: Playwright reads the pattern
    async ({}, use) => {
      const made = await start(false);
      await use(made);
      await made.stop();
    },
    { scope: "worker", timeout: 300_000 },
  ],
  demoServer: [
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
