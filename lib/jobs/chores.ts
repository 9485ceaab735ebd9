import type { Database } from "../store/database.ts";
import { log } from "../store/log.ts";
import { clearUploads } from "./clear-uploads.ts";
import { coverageIsDue, coverageRound } from "./coverage-round.ts";
import { Seldom } from "./seldom.ts";
import { thinScores } from "./thin-scores.ts";

/**
 * What has time: files that killed processes left, reminders, reports of a month that is over, old scores. The reports of a
 * large account take minutes, so a worker does this beside its round, in which emergencies and people's clocks are kept.
 */
export async function chores(db: Database, signal?: AbortSignal): Promise<void> {
  await clearNow(db);
  const accounts = await db.sql<{ id: number }[]>`SELECT id FROM account_directory ORDER BY id`;
  for (const { id } of accounts) {
    signal?.throwIfAborted();
    if (coverageIsDue(id, Date.now())) await coverageRound(db, id, Date.now(), signal);
    await thinNow(db, id);
  }
}

const clearings = new Seldom(600_000);

/** What killed processes left on this machine's disk; it may take a while to be old enough, so it is looked for seldom. */
async function clearNow(db: Database): Promise<void> {
  const now = Date.now();
  if (!clearings.isDue(0, now)) return;
  const gone = await clearUploads(db, now);
  if (gone.length > 0) log.info({ folders: gone }, "left-over uploads removed");
}

const thinnings = new Seldom(24 * 3_600_000);

/** Old scores go once a day; what fails is said and tried again. */
async function thinNow(db: Database, accountId: number): Promise<void> {
  const now = Date.now();
  if (!thinnings.isDue(accountId, now)) return;
  await thinScores(db, accountId, now).catch((error: Error) => log.error({ err: error }, "old scores stay"));
}
