import "server-only";
import { randomBytes } from "node:crypto";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { feedTokenHash } from "../reads/calendar-feed.ts";
import type { Actor } from "../store/actor.ts";
import { addCalendarFeed, revokeCalendarFeed } from "../store/calendar-feeds.ts";
import { crews } from "../store/site-records.ts";
import { writeTransaction } from "../store/transaction.ts";

export const MakeFeedBody = z.object({ crewId: z.string().min(1) });
export const RevokeFeedBody = z.object({ feedId: z.string().min(1) });

/**
 * A new secret link to a crew's calendar. The secret is told once and kept as a hash only.
 * @returns the path of the link
 * @throws AppError `not_found` for an unknown crew
 */
export async function makeCalendarFeed(
  actor: Actor,
  { crewId }: z.infer<typeof MakeFeedBody>,
): Promise<{ path: string }> {
  const feedId = randomBytes(8).toString("hex");
  const secret = randomBytes(32).toString("base64url");
  await writeTransaction(actor, async (tx) => {
    if (!(await crews(tx)).some((crew) => crew.crewId === crewId))
      throw new AppError("not_found", { message: `There is no crew "${crewId}".` });
    await addCalendarFeed(tx, { feedId, crewId, tokenHash: feedTokenHash(secret), madeBy: actor.person });
    return { result: null, note: { action: "calendar.make", subject: crewId, detail: { feedId } } };
  });
  return { path: `/calendar/${actor.accountId}-${feedId}-${secret}.ics` };
}

/** End a link: it answers nothing from now on. @throws AppError `not_found` */
export async function endCalendarFeed(
  actor: Actor,
  { feedId }: z.infer<typeof RevokeFeedBody>,
): Promise<{ ended: true }> {
  return writeTransaction(actor, async (tx) => {
    const crewId = await revokeCalendarFeed(tx, feedId, actor.person);
    if (crewId === null) throw new AppError("not_found", { message: "That link was ended already." });
    return { result: { ended: true as const }, note: { action: "calendar.end", subject: crewId, detail: { feedId } } };
  });
}
