import type { Deadline, DeadlineKind } from "@/lib/coverage/deadlines.ts";

export const KIND_WORDS: Record<DeadlineKind, string> = {
  prudent_notice: "Prudent day to notify",
  notice: "Notice",
  proof_of_loss: "Proof of loss",
  suit: "Time to bring suit",
};

/** How far a deadline is, in words; never colour alone. */
export function leftWords({ state, daysLeft, sentOn }: Pick<Deadline, "state" | "daysLeft" | "sentOn">): string {
  if (state === "sent") return `sent ${sentOn}`;
  if (daysLeft === null) return "notify now";
  if (daysLeft < 0) return daysLeft === -1 ? "over since yesterday" : `over for ${-daysLeft} days`;
  if (daysLeft === 0) return "today";
  return daysLeft === 1 ? "1 day left" : `${daysLeft} days left`;
}
