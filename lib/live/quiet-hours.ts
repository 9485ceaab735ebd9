import type { Instant } from "../core/records.ts";
import { instantFromWall, wallMs } from "../core/zoned-time.ts";

const DAY_MS = 86_400_000;

export interface QuietHours {
  /** HH:MM in the zone; null: none. */
  from: string | null;
  to: string | null;
  timeZone: string;
}

const minutesOf = (clock: string) => Number(clock.slice(0, 2)) * 60 + Number(clock.slice(3, 5));

/** When the quiet hours that hold at an instant end; null when none hold. Hours that end before they begin run over midnight. */
export function quietUntil({ from, to, timeZone }: QuietHours, at: Instant): Instant | null {
  if (from === null || to === null || from === to) return null;
  const wall = wallMs(at, timeZone);
  const midnight = Math.floor(wall / DAY_MS) * DAY_MS;
  const minute = (wall - midnight) / 60_000;
  const [begin, end] = [minutesOf(from), minutesOf(to)];
  const over = begin > end;
  const quiet = over ? minute >= begin || minute < end : minute >= begin && minute < end;
  if (!quiet) return null;
  const day = over && minute >= begin ? midnight + DAY_MS : midnight;
  return instantFromWall(day + end * 60_000, timeZone).at;
}
