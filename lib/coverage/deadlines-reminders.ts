import type { Deadline } from "./deadlines.ts";

/** Days before a deadline at which somebody is reminded. */
export const REMINDER_DAYS = [60, 30, 14, 7, 2] as const;

export interface Reminder {
  /** The same reminder has the same key whenever it is worked out. A changed day makes new ones. */
  key: string;
  /** Days that this reminder is for; null: the day is over, or there is none. */
  threshold: (typeof REMINDER_DAYS)[number] | null;
  says: string;
}

/**
 * The reminder that is due now, if any: of several thresholds passed since the last look only the nearest, so that a
 * worker that was away does not send five at once. Nothing is due for what was sent. Of the model's prudent day it says
 * first that it is a suspicion; once that day is over there is one more, however many days go by.
 */
export function dueReminder(deadline: Deadline): Reminder | null {
  if (deadline.state === "sent") return null;
  const { siteId, coverageId, kind, discoveryId, suspectedSince, clockOn, daysLeft } = deadline;
  const of = discoveryId ?? (suspectedSince === null ? "model" : `model-${suspectedSince}`);
  const key = (at: string) => [siteId, coverageId, kind, of, clockOn ?? "no-date", at].join("/");
  const head = discoveryId === null ? "Suspicion, not a discovery. " : "";
  if (daysLeft === null) return { key: key("now"), threshold: null, says: head + deadline.says };
  if (daysLeft < 0 || clockOn !== deadline.dueOn)
    return { key: key("passed"), threshold: null, says: head + deadline.says };
  const threshold = REMINDER_DAYS.findLast((days) => daysLeft <= days);
  if (threshold === undefined) return null;
  const days = daysLeft === 0 ? "Today" : daysLeft === 1 ? "1 day left" : `${daysLeft} days left`;
  return { key: key(String(threshold)), threshold, says: `${head}${days}: ${deadline.says}` };
}
