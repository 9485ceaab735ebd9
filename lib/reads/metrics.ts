import "server-only";
import { timingSafeEqual } from "node:crypto";
import { statfsSync } from "node:fs";
import { Gauge, Registry } from "prom-client";
import { AppError } from "../core/app-error.ts";
import { queueState } from "../jobs/queue-state.ts";
import { systemActor } from "../store/actor.ts";
import { dataFolder } from "../store/data-folder.ts";
import { database } from "../store/database.ts";
import { readTransaction } from "../store/transaction.ts";

/**
 * Whether a caller may read the metrics: with RAINTRIP_METRICS_TOKEN set only with it, else only from this machine.
 * @param peer where the server says that the request comes from
 * @throws AppError `unauthorized`
 */
export function admitToMetrics(authorization: string | null, peer: string | null): void {
  const expected = process.env.RAINTRIP_METRICS_TOKEN;
  if (!expected) {
    if (peer === "loopback") return;
    throw new AppError("unauthorized", {
      message: "Metrics are given to other machines only with a token: set RAINTRIP_METRICS_TOKEN.",
    });
  }
  const given = Buffer.from(/^Bearer\s+(.+)$/i.exec(authorization ?? "")?.[1] ?? "");
  const wanted = Buffer.from(expected);
  if (given.length !== wanted.length || !timingSafeEqual(given, wanted))
    throw new AppError("unauthorized", { message: "Send the token of the metrics as: Authorization: Bearer TOKEN" });
}

/** Metrics in Prometheus' text format: those that the web server counts, and the state of queue, scores and disk. */
export async function readMetrics(): Promise<{ text: string; contentType: string }> {
  const own = new Registry();
  await installation(own);
  const web = (globalThis as { raintripMetrics?: Registry }).raintripMetrics;
  const text = [await own.metrics(), web ? await web.metrics() : ""].join("\n");
  return { text, contentType: own.contentType };
}

async function installation(register: Registry): Promise<void> {
  const gauge = (name: string, help: string, labelNames: string[] = []) =>
    new Gauge({ name: `raintrip_${name}`, help, labelNames, registers: [register] });
  const up = gauge("database_up", "1 when the database answers");
  const free = gauge("disk_free_bytes", "Free space for the data folder");
  try {
    const { bavail, bsize } = statfsSync(dataFolder());
    free.set(bavail * bsize);
  } catch {
    register.removeSingleMetric("raintrip_disk_free_bytes"); // unknown is not zero
  }
  try {
    const db = await database();
    const { queues, workerSeenAt } = await queueState(db);
    const jobs = gauge("jobs", "Jobs in the queue", ["queue", "state"]);
    for (const { queue, waiting, active } of queues) {
      jobs.set({ queue, state: "waiting" }, waiting);
      jobs.set({ queue, state: "active" }, active);
    }
    if (workerSeenAt !== null)
      gauge("worker_seen_timestamp_seconds", "When a worker last took or finished a job").set(workerSeenAt / 1000);
    const sites = gauge("sites", "Sites of an account", ["account"]);
    const scored = gauge("last_score_timestamp_seconds", "When a score was last computed", ["account"]);
    const open = gauge("imports_open", "Imports that wait or run", ["account"]);
    const aside = gauge("set_aside_rows", "Rows set aside by imports of the last 30 days", ["account"]);
    const newest = gauge("newest_record_timestamp_seconds", "Newest imported record", ["account", "feed"]);
    for (const { id } of await db.sql<{ id: number }[]>`SELECT id FROM account_directory ORDER BY id`) {
      const account = String(id);
      const row = await readTransaction(systemActor(id), (tx) => accountState(tx), db);
      sites.set({ account }, row.sites);
      open.set({ account }, row.open);
      aside.set({ account }, Number(row.aside ?? 0));
      if (row.scored) scored.set({ account }, row.scored.getTime() / 1000);
      for (const feed of ["fault", "telemetry", "weather"] as const)
        if (row[feed]) newest.set({ account, feed }, row[feed].getTime() / 1000);
    }
    up.set(1);
  } catch {
    up.set(0);
  }
}

interface AccountState {
  sites: number;
  open: number;
  aside: string | null;
  scored: Date | null;
  fault: Date | null;
  telemetry: Date | null;
  weather: Date | null;
}

async function accountState(tx: Parameters<Parameters<typeof readTransaction>[1]>[0]): Promise<AccountState> {
  const [row] = await tx<AccountState[]>`
    SELECT (SELECT count(*)::int FROM site WHERE account_id = current_account()) AS sites,
      (SELECT count(*)::int FROM import_drop WHERE account_id = current_account() AND status IN ('waiting', 'running')) AS open,
      (SELECT sum(f.set_aside) FROM import_file f JOIN import_drop d USING (account_id, import_id)
        WHERE f.account_id = current_account() AND d.requested_at > now() - interval '30 days') AS aside,
      (SELECT max(computed_at) FROM score WHERE account_id = current_account()) AS scored,
      h.fault_at AS fault, h.telemetry_at AS telemetry, h.weather_at AS weather
    FROM (SELECT 1) one LEFT JOIN data_horizon h ON h.account_id = current_account()`;
  return row as AccountState;
}
