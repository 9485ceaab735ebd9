import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { chownSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync } from "node:fs";
import os from "node:os";
import path from "node:path";

/** Programs of the system's PostgreSQL; null: there is none with what a replica takes. */
function programs(): string | null {
  const base = "/usr/lib/postgresql";
  const versions = existsSync(base) ? readdirSync(base).sort((a, b) => Number(b) - Number(a)) : [];
  const found = versions.find((v) => existsSync(path.join(base, v, "bin", "pg_basebackup")));
  return found ? path.join(base, found, "bin") : null;
}

export const canReplicate = (): boolean => programs() !== null;

/**
 * A hot standby of a server on this machine that any user may connect to, by a base backup and streaming.
 * @param primary address of the server, as a user that may replicate
 */
export async function startReplica(primary: string, port: number): Promise<{ url: string; stop: () => Promise<void> }> {
  const bin = programs() as string;
  const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-replica-"));
  const data = path.join(folder, "data");
  let user: { uid?: number; gid?: number } = {};
  if (process.getuid?.() === 0) {
    const { uid, gid } = statSync("/var/lib/postgresql");
    user = { uid, gid };
    chownSync(folder, uid, gid);
  }
  const made = spawnSync(
    path.join(bin, "pg_basebackup"),
    ["-D", data, "-R", "-X", "stream", "-c", "fast", "-d", primary],
    {
      ...user,
      encoding: "utf8",
    },
  );
  if (made.status !== 0) throw new Error(`pg_basebackup failed: ${made.stderr}`);
  const args = [
    "-D",
    data,
    "-p",
    String(port),
    "-c",
    "listen_addresses=127.0.0.1",
    "-c",
    "unix_socket_directories=",
    "-c",
    "hot_standby=on",
  ];
  const server: ChildProcess = spawn(path.join(bin, "postgres"), [...args, "-c", "logging_collector=off"], {
    ...user,
    stdio: ["ignore", "ignore", "pipe"],
  });
  let said = "";
  await new Promise<void>((resolve, reject) => {
    server.stderr?.on("data", (chunk: Buffer) => {
      said += chunk.toString();
      if (said.includes("ready to accept read-only connections")) resolve();
    });
    server.once("exit", () =>
      reject(new Error(`the replica ended: ${said || readFileSync(path.join(data, "log"), "utf8")}`)),
    );
  });
  const { pathname } = new URL(primary);
  const stop = async () => {
    if (server.exitCode !== null || server.signalCode !== null) return;
    const gone = new Promise((resolve) => server.once("exit", resolve));
    server.kill("SIGINT");
    await gone;
    rmSync(folder, { recursive: true, force: true });
  };
  return { url: `postgresql://${new URL(primary).username}@127.0.0.1:${port}${pathname}`, stop };
}
