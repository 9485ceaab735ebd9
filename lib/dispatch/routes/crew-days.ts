import { type Crew, type Instant, WEEKDAYS } from "../../core/records.ts";
import { instantFromWall } from "../../core/zoned-time.ts";

const DAY_MS = 86_400_000;

/** A crew's shift on one of its own calendar days. */
export interface Shift {
  crew: Crew;
  day: string;
  from: Instant;
  to: Instant;
}

/** Time of HH:MM on a calendar day in a zone. */
export function clockOn(day: string, clock: string, zone: string): Instant {
  const [hours, minutes] = clock.split(":").map(Number);
  return instantFromWall(Date.parse(`${day}T00:00:00Z`) + ((hours ?? 0) * 60 + (minutes ?? 0)) * 60_000, zone).at;
}

/**
 * The shifts of the crews in the days asked for, and what stands in the way of others.
 * A shift that ends before it starts is left out and said.
 *
 * @throws RangeError when `from` is no date or `days` is not a whole number of at least 1
 */
export function shiftsOf(crews: readonly Crew[], from: string, days: number): { shifts: Shift[]; notes: string[] } {
  const first = Date.parse(`${from}T00:00:00Z`);
  if (!/^\d{4}-\d{2}-\d{2}$/.test(from) || !Number.isFinite(first))
    throw new RangeError("shiftsOf requires a date YYYY-MM-DD");
  if (!Number.isInteger(days) || days < 1) throw new RangeError("shiftsOf requires at least one day");
  const notes: string[] = [];
  const shifts: Shift[] = [];
  for (const crew of [...crews].sort((a, b) => (a.crewId < b.crewId ? -1 : 1))) {
    if (crew.shiftEnd <= crew.shiftStart) {
      notes.push(`Crew ${crew.crewId}: the shift ends at ${crew.shiftEnd}, not after its start ${crew.shiftStart}.`);
      continue;
    }
    for (let k = 0; k < days; k++) {
      const at = first + k * DAY_MS;
      const day = new Date(at).toISOString().slice(0, 10);
      const weekday = WEEKDAYS[(new Date(at).getUTCDay() + 6) % 7] as (typeof WEEKDAYS)[number];
      if (!crew.workDays.includes(weekday)) continue;
      const { timeZone: zone } = crew;
      shifts.push({ crew, day, from: clockOn(day, crew.shiftStart, zone), to: clockOn(day, crew.shiftEnd, zone) });
    }
  }
  return { shifts, notes };
}
