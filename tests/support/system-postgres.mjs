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
import net from "node:net";
import os from "node:os";
import path from "node:path";

function programs() {
  const base = "/usr/lib/postgresql";
  if (!existsSync(base)) return null;
  const versions = readdirSync(base)
    .filter((v) => existsSync(path.join(base, v, "bin", "postgres")))
    .sort((a, b) => Number(b) - Number(a));
  return versions[0] ? path.join(base, versions[0], "bin") : null;
}

function postgresUser() {
  if (process.getuid?.() !== 0) return {};
  const entry = readFileSync("/etc/passwd", "utf8")
    .split("\n")
    .map((line) => line.split(":"))
    .find((f) => f[0] === "postgres");
  return entry ? { uid: Number(entry[2]), gid: Number(entry[3]) } : null;
}

function freePort() {
  return new Promise((resolve) => {
    const probe = net.createServer().listen(0, "127.0.0.1", () => {
      const { port } = probe.address();
      probe.close(() => resolve(port));
    });
  });
}

/**
 * A throw-away cluster on the system's own PostgreSQL, as a user's DATABASE_URL would name it.
 * @returns its URL, what its log says, and how to stop it; null when the system has none
 */
export async function startSystemPostgres() {
  const bin = programs();
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
  const server = spawn(
    path.join(bin, "postgres"),
    [
      "-D",
      data,
      "-p",
      String(port),
      "-c",
      "listen_addresses=127.0.0.1",
      "-c",
      "unix_socket_directories=",
      "-c",
      "fsync=off",
    ],
    {
      ...user,
      stdio: ["ignore", "ignore", log],
    },
  );
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
