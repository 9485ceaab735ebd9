import "server-only";
import { createHash, timingSafeEqual } from "node:crypto";
import { AppError } from "../core/app-error.ts";
import { crewCalendar } from "../report/crew-calendar.ts";
import { systemActor } from "../store/actor.ts";
import { calendarFeedSecret } from "../store/calendar-feeds.ts";
import { crews } from "../store/site-records.ts";
import { readTransaction } from "../store/transaction.ts";
import { calendarDay, crewDaysInForce } from "./crew-days.ts";

const DAYS_BACK = 14;
const DAYS_AHEAD = 60;
const TOKEN = /^(\d{1,9})-([0-9a-f]{16})-([\w-]{43})$/;

/** What of a link is the secret, as it is kept. */
export const feedTokenHash = (secret: string): Buffer => createHash("sha256").update(secret).digest();

/**
 * A crew's calendar for whoever has the link. The link names account and feed; its secret is compared with the hash.
 * @throws AppError `not_found` for a link that is wrong, was revoked or never was: which of them is not told
 */
export async function readCalendarFeed(link: string, now = Date.now()): Promise<string> {
  const none = new AppError("not_found", { message: "There is no such calendar." });
  const [, account, feedId, secret] = TOKEN.exec(link.replace(/\.ics$/, "")) ?? [];
  if (!account || !feedId || !secret) throw none;
  return readTransaction(systemActor(Number(account)), async (tx) => {
    const feed = await calendarFeedSecret(tx, feedId);
    const given = feedTokenHash(secret);
    if (!feed || feed.tokenHash.length !== given.length || !timingSafeEqual(feed.tokenHash, given)) throw none;
    const day = (offset: number) => new Date(now + offset * 86_400_000).toISOString().slice(0, 10);
    const days = await crewDaysInForce(tx, { from: day(-DAYS_BACK), to: day(DAYS_AHEAD), crewId: feed.crewId });
    const crew = (await crews(tx)).find((each) => each.crewId === feed.crewId);
    return crewCalendar(crew?.name ?? feed.crewId, days.map(calendarDay));
  });
}
