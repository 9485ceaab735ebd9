import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { chownSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { postgresUser, programsWith, serverArguments } from "./system-postgres.mjs";

const programs = () => programsWith("pg_basebackup");

export const canReplicate = (): boolean => programs() !== null;

/**
 * A hot standby of a server on this machine that any user may connect to, by a base backup and streaming.
 * @param primary address of the server, as a user that may replicate
 */
export async function startReplica(primary: string, port: number): Promise<{ url: string; stop: () => Promise<void> }> {
  const bin = programs() as string;
  const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-replica-"));
  const data = path.join(folder, "data");
  const user = postgresUser() ?? {};
  if (user.uid !== undefined) chownSync(folder, user.uid, user.gid as number);
  const made = spawnSync(
    path.join(bin, "pg_basebackup"),
    ["-D", data, "-R", "-X", "stream", "-c", "fast", "-d", primary],
    {
      ...user,
      encoding: "utf8",
    },
  );
  if (made.status !== 0) throw new Error(`pg_basebackup failed: ${made.stderr}`);
  const args = serverArguments(data, port, ["hot_standby=on", "logging_collector=off"]);
  const server: ChildProcess = spawn(path.join(bin, "postgres"), args, {
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
