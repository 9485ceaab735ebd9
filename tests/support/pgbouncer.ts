import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { chmodSync, chownSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import net from "node:net";
import os from "node:os";
import path from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { freePort } from "./free-port.mjs";
import { postgresUser } from "./system-postgres.mjs";

const PLACES = ["/usr/sbin/pgbouncer", "/usr/bin/pgbouncer", "/usr/local/bin/pgbouncer"];

/** PgBouncer of this system, from its packages where they can be installed; null: there is none. */
export function findPgbouncer(): string | null {
  const found = () => PLACES.find((place) => existsSync(place)) ?? null;
  if (found() || process.getuid?.() !== 0 || !existsSync("/usr/bin/apt-get")) return found();
  const env = { ...process.env, DEBIAN_FRONTEND: "noninteractive" };
  spawnSync("apt-get", ["update", "-qq"], { stdio: "ignore", env, timeout: 60_000 });
  spawnSync("apt-get", ["install", "-y", "-qq", "--no-install-recommends", "pgbouncer"], {
    stdio: "ignore",
    env,
    timeout: 120_000,
  });
  return found();
}

/**
 * A pooler in transaction mode before a server on this machine, with so few connections of its own that transactions of
 * different clients have to share them.
 * @param logins user name to password, as the server knows them
 */
export async function startPgbouncer(
  program: string,
  server: { port: number; logins: Record<string, string>; connections: number },
): Promise<{ port: number; stop: () => Promise<void> }> {
  const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-pooler-"));
  const port = await freePort();
  const users = path.join(folder, "users.txt");
  const config = path.join(folder, "pgbouncer.ini");
  writeFileSync(
    users,
    Object.entries(server.logins)
      .map(([name, password]) => `"${name}" "${password}"\n`)
      .join(""),
  );
  writeFileSync(
    config,
    `[databases]
* = host=127.0.0.1 port=${server.port}
[pgbouncer]
listen_addr = 127.0.0.1
listen_port = ${port}
unix_socket_dir =
auth_type = plain
auth_file = ${users}
pool_mode = transaction
default_pool_size = ${server.connections}
max_client_conn = 200
server_tls_sslmode = disable
logfile = ${path.join(folder, "log")}
pidfile = ${path.join(folder, "pid")}
`,
  );
  // It refuses to run as root.
  const user = postgresUser() ?? {};
  for (const at of [folder, users, config]) {
    if (user.uid !== undefined) chownSync(at, user.uid, user.gid as number);
  }
  chmodSync(folder, 0o700);
  const child: ChildProcess = spawn(program, [config], { ...user, stdio: "ignore" });
  const gone = new Promise<void>((resolve) => child.once("exit", () => resolve()));
  while (!(await answers(port))) {
    if (child.exitCode !== null) throw new Error(`pgbouncer ended: ${readFileSync(path.join(folder, "log"), "utf8")}`);
    await sleep(50);
  }
  const stop = async () => {
    child.kill("SIGINT");
    child.kill("SIGTERM");
    await gone;
    rmSync(folder, { recursive: true, force: true });
  };
  return { port, stop };
}

function answers(port: number): Promise<boolean> {
  return new Promise((resolve) => {
    const socket = net.connect(port, "127.0.0.1");
    socket.once("connect", () => {
      socket.destroy();
      resolve(true);
    });
    socket.once("error", () => resolve(false));
  });
}
