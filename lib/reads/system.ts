import "server-only";
import { statfsSync } from "node:fs";
import { authorise } from "../core/permissions.ts";
import { queueState } from "../jobs/queue-state.ts";
import type { Actor } from "../store/actor.ts";
import { dataFolder } from "../store/data-folder.ts";
import { database } from "../store/database.ts";
import { staleAtLast } from "../store/scoring-state.ts";
import { sharedRead } from "../store/shared-read.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import type { SystemView } from "./system-view.ts";

/** Rounds of the worker are 15 s apart; a long job may hold one up. */
const WORKER_SILENT_MS = 90_000;
/** A feed without anything newer has stopped, or was never set up to go on. */
const FEED_OLD_DAYS = 7;
const LEAST_FREE_BYTES = 2e9;
const iso = (at: Date | number | null | undefined) =>
  at === null || at === undefined ? null : new Date(at).toISOString();

/** State of the installation as far as it concerns the actor's account: feeds, queue, scores, imports, worker, disk. */
export async function readSystem(actor: Actor, now = Date.now()): Promise<SystemView> {
  authorise(actor, "system.read");
  const db = await database();
  const [queue, own] = await Promise.all([
    queueState(db),
    readTransaction(actor, (tx) => ownState(tx, actor, now), db),
  ]);
  const [server] = await db.sql<{ version: string; bytes: string }[]>`
    SELECT current_setting('server_version') AS version, pg_database_size(current_database()) AS bytes`;
  const seen = queue.workerSeenAt;
  const running = seen !== null && now - seen < WORKER_SILENT_MS;
  const disk = freeSpace();
  const view: Omit<SystemView, "attention"> = {
    now: new Date(now).toISOString(),
    worker: { seenAt: iso(seen), running },
    queues: queue.queues,
    ...own,
    database: { version: server?.version ?? "", bytes: Number(server?.bytes ?? 0) },
    disk,
  };
  return { ...view, attention: attention(view) };
}

function freeSpace(): SystemView["disk"] {
  const folder = dataFolder();
  try {
    const { bavail, blocks, bsize } = statfsSync(folder);
    return { folder, freeBytes: bavail * bsize, totalBytes: blocks * bsize };
  } catch {
    return { folder, freeBytes: 0, totalBytes: 0 }; // a folder that is not there yet: the doctor says so
  }
}

async function ownState(tx: Sql, actor: Actor, now: number): Promise<Pick<SystemView, "imports" | "scores" | "feeds">> {
  const [imports] = await tx<
    { open: number; held_up: string | null; last: Date | null; aside_last: string | null; aside: string | null }[]
  >`
    WITH last AS (SELECT import_id, finished_at FROM import_drop WHERE account_id = current_account() AND status = 'done' ORDER BY finished_at DESC LIMIT 1)
    SELECT (SELECT count(*)::int FROM import_drop WHERE account_id = current_account() AND status IN ('waiting', 'running')) AS open,
      (SELECT error FROM import_drop WHERE account_id = current_account() AND status IN ('waiting', 'running') AND error IS NOT NULL
        ORDER BY requested_at LIMIT 1) AS held_up,
      (SELECT finished_at FROM last) AS last,
      (SELECT sum(set_aside) FROM import_file WHERE account_id = current_account() AND import_id = (SELECT import_id FROM last)) AS aside_last,
      (SELECT sum(f.set_aside) FROM import_file f JOIN import_drop d USING (account_id, import_id)
        WHERE f.account_id = current_account() AND d.requested_at > ${new Date(now - 30 * 86_400_000)}) AS aside`;
  const [scores] = await tx<{ sites: number; last: Date | null }[]>`
    SELECT (SELECT count(*)::int FROM site WHERE account_id = current_account()) AS sites,
      (SELECT max(computed_at) FROM score WHERE account_id = current_account()) AS last`;
  const [newest] = await tx<{ fault_at: Date | null; telemetry_at: Date | null; weather_at: Date | null }[]>`
    SELECT fault_at, telemetry_at, weather_at FROM data_horizon WHERE account_id = current_account()`;
  return {
    imports: {
      open: imports?.open ?? 0,
      heldUp: imports?.held_up ?? null,
      lastFinished: iso(imports?.last),
      setAsideLast: Number(imports?.aside_last ?? 0),
      setAside30Days: Number(imports?.aside ?? 0),
    },
    scores: {
      sites: scores?.sites ?? 0,
      stale: await sharedRead(
        actor,
        "stale",
        () => staleAtLast(tx),
        (n) => n > 0,
      ),
      lastComputed: iso(scores?.last),
    },
    feeds: [
      { what: "Fault logs", newest: iso(newest?.fault_at) },
      { what: "Telemetry", newest: iso(newest?.telemetry_at) },
      { what: "Weather", newest: iso(newest?.weather_at) },
    ],
  };
}

/** What a person should look at, in words. */
function attention(view: Omit<SystemView, "attention">): string[] {
  const out: string[] = [];
  if (view.disk.freeBytes < LEAST_FREE_BYTES)
    out.push(
      `Only ${(view.disk.freeBytes / 1e9).toFixed(1)} GB are free for ${view.disk.folder}. Free some space: the database stops when it runs out.`,
    );
  if (!view.worker.running)
    out.push(
      "No worker has been heard of for more than 90 s: imports and scores wait. Start one: npm run raintrip -- worker.",
    );
  if (view.imports.heldUp !== null) out.push(`An import is held up. ${view.imports.heldUp}`);
  for (const { what, newest } of view.feeds) {
    const days = newest === null ? 0 : (Date.parse(view.now) - Date.parse(newest)) / 86_400_000;
    if (days > FEED_OLD_DAYS)
      out.push(
        `${what}: nothing newer than ${Math.floor(days)} days. What was not delivered is unknown, never fault-free or dry.`,
      );
  }
  if (view.worker.running && view.scores.stale > 0)
    out.push(`${view.scores.stale.toLocaleString("en-US")} sites wait for a new score.`);
  if (view.imports.setAsideLast > 0)
    out.push(
      `The last import set ${view.imports.setAsideLast.toLocaleString("en-US")} rows aside: open it, download them, correct them, import them again.`,
    );
  return out;
}
