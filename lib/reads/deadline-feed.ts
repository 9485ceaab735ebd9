import "server-only";
import { AppError } from "../core/app-error.ts";
import type { DeadlineKind } from "../coverage/deadlines.ts";
import { REMINDER_DAYS } from "../coverage/deadlines-reminders.ts";
import { type DatedDeadline, datedDeadlines } from "../jobs/coverage-deadlines.ts";
import { type CalendarEntry, deadlineCalendar } from "../report/deadline-calendar.ts";
import { openLink } from "../store/access-links.ts";
import { readTransaction } from "../store/transaction.ts";
import { CONTRACT_GOVERNS } from "./coverage-view.ts";

export const DEADLINE_TITLES: Record<DeadlineKind, string> = {
  prudent_notice: "Suspected, not discovered: prudent day to notify",
  notice: "Notice due",
  proof_of_loss: "Proof of loss due",
  suit: "Time to bring suit ends",
};

/**
 * The calendar that a secret link opens: what is not sent yet of one book.
 * @throws AppError `not_found`, the same for an unknown and for a revoked link
 */
export async function readDeadlineFeed(secret: string, now: number): Promise<string> {
  const link = await openLink(secret, "calendar", now);
  if (!link?.portfolio) throw new AppError("not_found", { message: "This link opens nothing. Ask for a new one." });
  const book = link.portfolio;
  const all = await readTransaction(link.actor, (tx) => datedDeadlines(tx, book, now));
  const today = new Date(now).toISOString().slice(0, 10);
  return deadlineCalendar(
    `Deadlines: ${book}`,
    all.filter((d) => d.state !== "sent").map((d) => entryOf(d, today)),
    now,
  );
}

/** What has no day stands on today, because it is due now. */
function entryOf(d: DatedDeadline, today: string): CalendarEntry {
  const unread =
    d.discoveryId === null ? "Suspected, not discovered: read the contract" : "Read the contract, notify now";
  const title = d.dueOn === null ? unread : DEADLINE_TITLES[d.kind];
  return {
    id: [d.siteId, d.coverageId, d.kind, d.discoveryId ?? "model"].map(encodeURIComponent).join("/"),
    day: d.dueOn ?? today,
    title: `${title}: ${d.siteName}`,
    says: `${d.says}\n\n${d.send.join("\n")}\n\n${CONTRACT_GOVERNS}`,
    // What has no day, or whose day is over, has nothing to remind before.
    reminders: d.dueOn === null || d.dueOn !== d.clockOn ? [] : REMINDER_DAYS,
  };
}
