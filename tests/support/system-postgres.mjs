import { spawn, spawnSync } from "node:child_process";
import {
  chmodSync,
  chownSync,
  closeSync,
  existsSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readFileSync,
  rmSync,
} from "node:fs";
import os from "node:os";
import path from "node:path";
import { freePort } from "./free-port.mjs";

/**
 * Folder of the newest PostgreSQL programs of this system among which one is; null: there are none.
 * @param {string} program
 */
export function programsWith(program) {
  const base = "/usr/lib/postgresql";
  if (!existsSync(base)) return null;
  const versions = readdirSync(base)
    .filter((v) => existsSync(path.join(base, v, "bin", program)))
    .sort((a, b) => Number(b) - Number(a));
  return versions[0] ? path.join(base, versions[0], "bin") : null;
}

/**
 * As whom its programs run where this process is root, which they refuse to be; null: no such user.
 * @returns {{ uid?: number, gid?: number } | null}
 */
export function postgresUser() {
  if (process.getuid?.() !== 0) return {};
  const entry = readFileSync("/etc/passwd", "utf8")
    .split("\n")
    .map((line) => line.split(":"))
    .find((f) => f[0] === "postgres");
  return entry ? { uid: Number(entry[2]), gid: Number(entry[3]) } : null;
}

/**
 * Of a server that listens on this machine only, and on no socket file.
 * @param {string} data folder of the cluster
 * @param {number} port
 * @param {string[]} settings besides these
 */
export function serverArguments(data, port, settings) {
  const all = ["listen_addresses=127.0.0.1", "unix_socket_directories=", ...settings];
  return ["-D", data, "-p", String(port), ...all.flatMap((setting) => ["-c", setting])];
}

/**
 * A throw-away cluster on the system's own PostgreSQL, as a user's DATABASE_URL would name it.
 * @returns its URL, what its log says, and how to stop it; null when the system has none
 */
export async function startSystemPostgres() {
  const bin = programsWith("postgres");
  const user = postgresUser();
  if (!bin || !user) return null;
  const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-system-pg-"));
  chmodSync(folder, 0o755);
  const data = path.join(folder, "data");
  if (user.uid !== undefined) chownSync(folder, user.uid, user.gid);
  const made = spawnSync(
    path.join(bin, "initdb"),
    ["-D", data, "-U", "tester", "--auth=trust", "--encoding=UTF8", "--locale=C"],
    { ...user, encoding: "utf8" },
  );
  if (made.status !== 0) throw new Error(`initdb failed: ${made.stderr}`);
  const port = await freePort();
  // To a file: a pipe that nobody reads while the tests run would fill, and the server would wait for its reader.
  const logFile = path.join(folder, "server.log");
  const log = openSync(logFile, "a");
  const server = spawn(path.join(bin, "postgres"), serverArguments(data, port, ["fsync=off"]), {
    ...user,
    stdio: ["ignore", "ignore", log],
  });
  closeSync(log);
  const said = () => readFileSync(logFile, "utf8");
  let ended = false;
  server.once("exit", () => {
    ended = true;
  });
  while (!said().includes("ready to accept connections")) {
    if (ended) throw new Error(`the system's PostgreSQL did not start: ${said()}`);
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  const url = `postgresql://tester@127.0.0.1:${port}/postgres`;
  const stop = () =>
    new Promise((resolve) => {
      server.once("exit", () => {
        rmSync(folder, { recursive: true, force: true });
        resolve();
      });
      server.kill("SIGINT");
    });
  return { url, stop, said };
}
