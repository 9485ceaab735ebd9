import type { Instant } from "../core/records.ts";
import { HOUR_MS, type HourIndex } from "../core/weather-series.ts";
import type { Validators } from "./polite-client.ts";

/** A day that was looked at and may still change. */
export interface DayLook {
  at: Instant;
  /** Of the answer for the whole day; empty while the day is not over. */
  validators: Validators;
}

/** How far a station was asked for, and which of its days are not settled; days are numbered from the epoch, UTC. */
export interface FeedProgress {
  /** Last hour asked for; null: none yet. */
  askedThrough: HourIndex | null;
  days: ReadonlyMap<number, DayLook>;
}

/** Hours after `from`, up to and with `to`, all of one UTC day. */
export interface ObservationWindow {
  day: number;
  from: HourIndex;
  to: HourIndex;
  validators: Validators;
}

/** Reports and corrections come late: a day is looked at again this often, until so long after its end. */
export const LOOK_AGAIN_HOURS = 6;
export const SETTLED_AFTER_HOURS = 48;

const HOURS_A_DAY = 24;

/**
 * What to ask for next of a station, oldest first: from where the last run ended to the last full hour, and the days
 * before that are not settled. A window always begins with its day, so each hour is seen with all of its reports.
 * @param reachHours how far back the service remembers; what is older is not asked for and stays unknown
 */
export function observationWindows(progress: FeedProgress, now: Instant, reachHours: number): ObservationWindow[] {
  const lastHour = Math.floor(now / HOUR_MS);
  const earliest = lastHour - reachHours;
  const out: ObservationWindow[] = [];
  for (let day = Math.floor(earliest / HOURS_A_DAY); day * HOURS_A_DAY < lastHour; day++) {
    const from = Math.max(day * HOURS_A_DAY, earliest);
    const to = Math.min((day + 1) * HOURS_A_DAY, lastHour);
    const look = progress.days.get(day);
    const asked = progress.askedThrough !== null && progress.askedThrough >= to;
    const again = look !== undefined && now - look.at >= LOOK_AGAIN_HOURS * HOUR_MS;
    // Part of a day that begins before the reach was seen whole or not at all.
    const whole = from === day * HOURS_A_DAY && to === (day + 1) * HOURS_A_DAY;
    if (!asked || (again && whole)) out.push({ day, from, to, validators: asked ? (look?.validators ?? {}) : {} });
  }
  return out;
}

/**
 * Progress after a window was asked for and its hours stored.
 * @param validators of the answer; null where it was put together from several
 */
export function afterWindow(
  progress: FeedProgress,
  window: ObservationWindow,
  look: { at: Instant; validators: Validators | null },
): FeedProgress {
  const over = window.to === (window.day + 1) * HOURS_A_DAY;
  const whole = window.from === window.day * HOURS_A_DAY;
  const days = new Map(progress.days);
  const settled = look.at - window.to * HOUR_MS >= SETTLED_AFTER_HOURS * HOUR_MS;
  if (over && settled) days.delete(window.day);
  else days.set(window.day, { at: look.at, validators: over && whole ? (look.validators ?? {}) : {} });
  // Days that fell out of reach unsettled cannot be asked for any more.
  for (const day of days.keys()) if (day < window.day - HOURS_A_DAY) days.delete(day);
  return { askedThrough: Math.max(progress.askedThrough ?? window.to, window.to), days };
}
