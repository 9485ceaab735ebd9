import type { LocalDay } from "../core/records.ts";

const DAY_MS = 86_400_000;

/** Days since 1970-01-01. */
export const dayNumber = (day: LocalDay): number => Math.round(Date.parse(`${day}T00:00:00Z`) / DAY_MS);

export const addDays = (day: LocalDay, days: number): LocalDay =>
  new Date((dayNumber(day) + days) * DAY_MS).toISOString().slice(0, 10);

/** Calendar days from one day to another; negative when `to` is earlier. */
export const daysBetween = (from: LocalDay, to: LocalDay): number => dayNumber(to) - dayNumber(from);

/** The same day of a later month; the month's last day where it has no such day. */
export function addMonths(day: LocalDay, months: number): LocalDay {
  const [year = 0, month = 1, date = 1] = day.split("-").map(Number);
  const first = Date.UTC(year, month - 1 + months, 1);
  const lastDate = new Date(Date.UTC(year, month + months, 0)).getUTCDate();
  return new Date(first + (Math.min(date, lastDate) - 1) * DAY_MS).toISOString().slice(0, 10);
}
