import { type ChildProcess, spawn } from "node:child_process";
import net from "node:net";
import path from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { AppError } from "../core/app-error.ts";
import { readyDatabase } from "../jobs/ready.ts";
import { listenHost, signInSettings } from "../sign-in/settings.ts";
import { LOCAL_ACTOR } from "../store/actor.ts";
import { ensureDataFolder } from "../store/data-folder.ts";
import { shutDatabase } from "../store/database.ts";
import { attachEmbedded, type DatabaseAddress, isUp, leftBehind } from "../store/embedded.ts";
import { anybodySignsIn, hasDemoPeople, makeDemoPeople, setUpLink } from "../writes/demo-people.ts";
import { fleetIsEmpty, holdsDemo, loadDemo } from "./demo.ts";
import { readArguments } from "./read-arguments.ts";
import { WORKING_NODE } from "./working-node.ts";

const DEFAULT_PORT = 4710;
const ROOT = process.cwd();

/**
 * Web server and worker over one database, until told to stop. Both are processes of their own, so heavy scoring
 * never holds up a page; one that dies is started again.
 */
export async function serveCommand(args: string[]): Promise<number> {
  const { values } = readArguments({
    args,
    options: { port: { type: "string" }, "demo-when-empty": { type: "boolean" }, "no-worker": { type: "boolean" } },
  });
  const port = Number(values.port ?? process.env.PORT ?? DEFAULT_PORT);
  if (!Number.isInteger(port) || port < 1 || port > 65535) {
    throw new AppError("wrong_use", { message: `--port takes a whole number from 1 to 65535, got "${values.port}".` });
  }
  process.env.PORT = String(port);
  const { demoAllowed, url } = signInSettings();
  await assertPortFree(port);
  const folder = ensureDataFolder();
  if (!process.env.DATABASE_URL && leftBehind(folder))
    say(`the last run in ${folder} was cut off; recovering its database`);
  say("starting the database …");
  const { db, applied } = await readyDatabase();
  if (applied.length > 0)
    say(`database brought to this release (${applied.length} migration${applied.length > 1 ? "s" : ""})`);
  if (values["demo-when-empty"] && (await fleetIsEmpty())) {
    say("the database is empty: loading the invented demo fleet …");
    await loadDemo(say);
  }
  await settlePeople(demoAllowed);
  const setUp = await setUpLink(LOCAL_ACTOR);
  let address = db.address;
  const environment = () => ({
    ...process.env,
    PORT: String(port),
    RAINTRIP_ROOT: ROOT,
    RAINTRIP_ADDRESS: JSON.stringify(address),
  });
  const children = [supervise("web", [path.join("lib", "cli", "web.mjs")], environment)];
  if (!values["no-worker"]) {
    children.push(supervise("worker", [...WORKING_NODE, path.join("lib", "cli", "main.ts"), "worker"], environment));
  }
  const watch = db.address.embedded
    ? watchDatabase(folder, (moved) => {
        if (JSON.stringify(moved) === JSON.stringify(address)) return;
        address = moved;
        for (const child of children) child.restart();
      })
    : null;
  await answering(port);
  // One write: whoever waits for the first line has the link with it.
  const unset = setUp ? `Nobody can sign in yet. Set this installation up, once, within 24 h: ${setUp}\n` : "";
  process.stdout.write(`Raintrip is ready: ${url.origin}\n${unset}`);
  await toldToStop();
  say("stopping …");
  await watch?.stop();
  await Promise.all(children.map((child) => child.stop()));
  await shutDatabase();
  return 0;
}

/** A demo that was loaded before there was sign-in gets its people now; demo people never meet a network unasked. */
async function settlePeople(demoAllowed: boolean): Promise<void> {
  if (demoAllowed && !(await anybodySignsIn(LOCAL_ACTOR)) && (await holdsDemo())) await makeDemoPeople(LOCAL_ACTOR);
  if (!demoAllowed && (await hasDemoPeople(LOCAL_ACTOR)))
    throw new AppError("wrong_use", {
      message:
        "This installation has demo people, as whom anybody may act, and RAINTRIP_LISTEN opens it to other machines. Disable them under People, or start without the demo in another RAINTRIP_DATA, or say RAINTRIP_DEMO_USERS=allow.",
    });
}

function say(line: string): void {
  process.stderr.write(`Raintrip: ${line}\n`);
}

function assertPortFree(port: number): Promise<void> {
  return new Promise((resolve, reject) => {
    const probe = net.createServer();
    probe.once("error", () =>
      reject(
        new AppError("port_taken", {
          message: `Port ${port} is taken. Stop what uses it, or choose another with --port.`,
        }),
      ),
    );
    probe.listen(port, listenHost(), () => probe.close(() => resolve()));
  });
}

/** Keep a child alive until stopped; restarts wait longer each time, up to 10 s, so a broken one does not spin. */
function supervise(
  name: string,
  args: string[],
  env: () => NodeJS.ProcessEnv,
): { stop: () => Promise<void>; restart: () => void } {
  let child: ChildProcess;
  let stopping = false;
  let delayMs = 250;
  const start = () => {
    const startedAt = Date.now();
    // Its own process group: the terminal's Ctrl-C reaches only this process, which stops the others in order.
    child = spawn(process.execPath, args, {
      cwd: ROOT,
      env: env(),
      stdio: ["ignore", "inherit", "inherit", "ipc"],
      detached: true,
    });
    child.on("exit", (code, signal) => {
      if (stopping) return;
      if (Date.now() - startedAt > 30_000) delayMs = 250;
      say(`the ${name} process ended (${signal ?? code}); starting it again`);
      setTimeout(start, delayMs);
      delayMs = Math.min(delayMs * 2, 10_000);
    });
  };
  start();
  const stop = () =>
    new Promise<void>((resolve) => {
      stopping = true;
      if (child.exitCode !== null || child.signalCode !== null) return resolve();
      child.once("exit", () => resolve());
      child.kill("SIGTERM");
      setTimeout(() => child.kill("SIGKILL"), 10_000).unref();
    });
  return { stop, restart: () => child.kill("SIGTERM") };
}

const WATCH_MS = 1000;

/**
 * Keep the embedded server up: one that was killed, or whose host was, is started again on its data.
 * @param onAddress told where the server is each time it has been started again
 */
function watchDatabase(folder: string, onAddress: (address: DatabaseAddress) => void): { stop: () => Promise<void> } {
  const ending = new AbortController();
  const watching = (async () => {
    while (!ending.signal.aborted) {
      await sleep(WATCH_MS, undefined, { signal: ending.signal }).catch(() => {});
      if (ending.signal.aborted || isUp(folder)) continue;
      say("the database ended; starting it again");
      await attachEmbedded(folder).then(onAddress, (error: Error) => say(error.message));
    }
  })();
  const stop = async () => {
    ending.abort();
    await watching;
  };
  return { stop };
}

async function answering(port: number): Promise<void> {
  for (let waited = 0; waited < 60_000; waited += 100) {
    const reply = await fetch(`http://127.0.0.1:${port}/api/health`).catch(() => null);
    if (reply?.ok) return;
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  throw new AppError("internal", {
    message: `The web server did not answer on port ${port} within 60 s; the lines above may say why.`,
  });
}

function toldToStop(): Promise<void> {
  return new Promise((resolve) => {
    for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const) process.on(signal, () => resolve());
  });
}
