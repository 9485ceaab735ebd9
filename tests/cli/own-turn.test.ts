import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { afterAll, beforeEach, describe, expect, test, vi } from "vitest";

const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-turn-"));
const lock = path.join(folder, "cache", "start.lock");
const log = path.join(folder, "log");
const go = path.join(folder, "go");
beforeEach(() => {
  for (const file of [lock, log, go]) rmSync(file, { force: true });
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Waits in its turn for the file `go`, as a build waits for its compiler. */
const SCRIPT = `
  import { appendFileSync, existsSync } from "node:fs";
  import { inOwnTurn } from ${JSON.stringify(pathToFileURL(path.resolve("lib/cli/own-turn.mjs")).href)};
  const [lock, log, go, last] = process.argv.slice(1);
  inOwnTurn(lock, (line) => process.stderr.write(line + "\\n"), () => {
    appendFileSync(log, "begins " + process.pid + "\\n");
    while (!existsSync(go)) Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 5);
    if (last === "gives up") process.exit(3);
    appendFileSync(log, "ends " + process.pid + "\\n");
  });
`;

interface Started {
  process: ChildProcess;
  said: () => string;
  ended: Promise<number | null>;
}

function start(last = ""): Started {
  const child = spawn(process.execPath, ["--input-type=module", "-e", SCRIPT, lock, log, go, last]);
  let said = "";
  child.stderr.on("data", (chunk) => {
    said += String(chunk);
  });
  const ended = new Promise<number | null>((resolve) => child.once("exit", resolve));
  return { process: child, said: () => said, ended };
}

const logged = () => (existsSync(log) ? readFileSync(log, "utf8").trim().split("\n") : []);
const until = (check: () => void) => vi.waitFor(check, { timeout: 60_000, interval: 20 });
/** A process that is gone. */
const goneOne = () => spawnSync(process.execPath, ["-e", ""]).pid;

describe("a turn", () => {
  test("is waited for, and the one who waits says for whom", async () => {
    const first = start();
    await until(() => expect(logged()).toEqual([`begins ${first.process.pid}`]));
    const second = start();
    await until(() =>
      expect(second.said()).toBe(`process ${first.process.pid} is at this already; waiting for it …\n`),
    );
    expect(logged()).toHaveLength(1);
    writeFileSync(go, "");
    expect([await first.ended, await second.ended]).toEqual([0, 0]);
    const [one, two] = [first.process.pid, second.process.pid];
    expect(logged()).toEqual([`begins ${one}`, `ends ${one}`, `begins ${two}`, `ends ${two}`]);
    expect(existsSync(lock)).toBe(false);
  });

  test("passes on when who has it is killed, and when they give up", async () => {
    const killed = start();
    await until(() => expect(logged()).toHaveLength(1));
    const givesUp = start("gives up");
    await until(() => expect(givesUp.said()).toContain("waiting"));
    killed.process.kill("SIGKILL");
    await until(() => expect(givesUp.said()).toContain(`process ${killed.process.pid} was cut off`));
    await until(() => expect(logged()).toHaveLength(2));
    const third = start();
    await until(() => expect(third.said()).toContain(`process ${givesUp.process.pid} is at this already`));
    writeFileSync(go, "");
    expect([await givesUp.ended, await third.ended]).toEqual([3, 0]);
    expect(logged().at(-1)).toBe(`ends ${third.process.pid}`);
  });

  test("whose process is gone is taken by one of many at a time", async () => {
    writeFileSync(go, "");
    const first = start();
    await first.ended; // the folder is there
    rmSync(log);
    writeFileSync(lock, JSON.stringify({ pid: goneOne(), began: "1" }));
    const all = Array.from({ length: 5 }, () => start());
    expect(await Promise.all(all.map((one) => one.ended))).toEqual([0, 0, 0, 0, 0]);
    const lines = logged();
    expect(lines).toHaveLength(10);
    for (let i = 0; i < lines.length; i += 2) expect(lines[i + 1]).toBe(lines[i]?.replace("begins", "ends"));
    expect(all.filter((one) => one.said().includes("taking over"))).toHaveLength(1);
  });

  test("is taken where the lock says nothing", async () => {
    writeFileSync(go, "");
    await start().ended;
    writeFileSync(lock, "");
    expect(await start().ended).toBe(0);
  });

  test.runIf(existsSync("/proc/self/stat"))("is taken from a pid that belongs to another process since", async () => {
    writeFileSync(go, "");
    await start().ended;
    writeFileSync(lock, JSON.stringify({ pid: process.pid, began: "1" }));
    const one = start();
    expect(await one.ended).toBe(0);
    expect(one.said()).toContain("taking over");
  });
});
