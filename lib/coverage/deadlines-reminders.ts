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
 * worker that was away does not send five at once. Nothing is due for what was sent.
 */
export function dueReminder(deadline: Deadline): Reminder | null {
  if (deadline.state === "sent") return null;
  const { siteId, coverageId, kind, discoveryId, dueOn, daysLeft } = deadline;
  const key = (at: string) => [siteId, coverageId, kind, discoveryId ?? "model", dueOn ?? "no-date", at].join("/");
  if (daysLeft === null) return { key: key("now"), threshold: null, says: deadline.says };
  if (daysLeft < 0) return { key: key("passed"), threshold: null, says: deadline.says };
  const threshold = REMINDER_DAYS.findLast((days) => daysLeft <= days);
  if (threshold === undefined) return null;
  const days = daysLeft === 0 ? "Today" : daysLeft === 1 ? "1 day left" : `${daysLeft} days left`;
  return { key: key(String(threshold)), threshold, says: `${days}: ${deadline.says}` };
}
