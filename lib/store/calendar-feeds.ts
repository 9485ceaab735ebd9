import { z } from "zod";
import type { Sql } from "./transaction.ts";

const Row = z
  .object({ feed_id: z.string(), crew_id: z.string(), made_by: z.string(), made_at: z.date() })
  .transform((r) => ({ feedId: r.feed_id, crewId: r.crew_id, madeBy: r.made_by, madeAt: r.made_at.getTime() }));
export type CalendarFeed = z.infer<typeof Row>;

/** Feeds that can be read, newest first. */
export async function calendarFeeds(tx: Sql): Promise<CalendarFeed[]> {
  const rows = await tx`SELECT feed_id, crew_id, made_by, made_at FROM calendar_feed
    WHERE account_id = current_account() AND revoked_at IS NULL ORDER BY made_at DESC`;
  return z.array(Row).parse([...rows]);
}

export async function addCalendarFeed(
  tx: Sql,
  feed: { feedId: string; crewId: string; tokenHash: Buffer; madeBy: string },
): Promise<void> {
  await tx`INSERT INTO calendar_feed (account_id, feed_id, crew_id, token_hash, made_by)
    VALUES (current_account(), ${feed.feedId}, ${feed.crewId}, ${feed.tokenHash}, ${feed.madeBy})`;
}

/** @returns the crew whose feed it was; null when none was open by that id */
export async function revokeCalendarFeed(tx: Sql, feedId: string, person: string): Promise<string | null> {
  const [row] = await tx<{ crew_id: string }[]>`
    UPDATE calendar_feed SET revoked_by = ${person}, revoked_at = clock_timestamp()
    WHERE account_id = current_account() AND feed_id = ${feedId} AND revoked_at IS NULL RETURNING crew_id`;
  return row?.crew_id ?? null;
}

/** The open feed of an id with the hash of its secret. */
export async function calendarFeedSecret(
  tx: Sql,
  feedId: string,
): Promise<{ crewId: string; tokenHash: Buffer } | null> {
  const [row] = await tx<{ crew_id: string; token_hash: Buffer }[]>`SELECT crew_id, token_hash FROM calendar_feed
    WHERE account_id = current_account() AND feed_id = ${feedId} AND revoked_at IS NULL`;
  return row ? { crewId: row.crew_id, tokenHash: row.token_hash } : null;
}
