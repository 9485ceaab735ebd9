import { DEADLINE_WORDS } from "@/app/_words/coverage.ts";
import type { Deadline, DeadlineKind } from "@/lib/coverage/deadlines.ts";

export const KIND_WORDS: Record<DeadlineKind, string> = {
  prudent_notice: DEADLINE_WORDS.prudentDayToNotify,
  notice: DEADLINE_WORDS.notice,
  proof_of_loss: DEADLINE_WORDS.proofOfLoss,
  suit: DEADLINE_WORDS.timeToBringSuit,
};

/** How far a deadline is, in words; never colour alone. */
export function leftWords({ state, daysLeft, sentOn }: Pick<Deadline, "state" | "daysLeft" | "sentOn">): string {
  if (state === "sent") return DEADLINE_WORDS.sent(sentOn);
  if (daysLeft === null) return DEADLINE_WORDS.notifyNow;
  if (daysLeft < 0) return daysLeft === -1 ? DEADLINE_WORDS.overSinceYesterday : DEADLINE_WORDS.overForDays(-daysLeft);
  if (daysLeft === 0) return "today";
  return daysLeft === 1 ? DEADLINE_WORDS.dayLeft : DEADLINE_WORDS.daysLeft(daysLeft);
}
