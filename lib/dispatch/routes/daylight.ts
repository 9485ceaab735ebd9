import type { LatLon } from "../../core/earth.ts";
import type { Instant, LocalDay } from "../../core/records.ts";
import { instantFromWall } from "../../core/zoned-time.ts";
import { sunElevationDeg } from "../../weather/sun-position.ts";
import type { Span } from "./plan-instance.ts";

/** The sun's centre stands so far below the horizon when its upper edge touches it: 34' of refraction and 16' of radius. */
const HORIZON_DEG = -0.833;
const STEP_MS = 3_600_000;

/** From sunrise to sunset on a local day; two spans or none near the poles. */
export function daylight(day: LocalDay, zone: string, place: LatLon): Span[] {
  const begin = instantFromWall(Date.parse(day), zone).at;
  const end = instantFromWall(Date.parse(day) + 86_400_000, zone).at;
  const isUp = (at: Instant) => sunElevationDeg(at, place) > HORIZON_DEG;
  const spans: Span[] = [];
  let up = isUp(begin);
  let from = begin;
  for (let at = begin; at < end; at += STEP_MS) {
    const next = Math.min(at + STEP_MS, end);
    if (isUp(next) === up) continue;
    const turn = turning(at, next, isUp);
    if (up) spans.push({ from, to: turn });
    from = turn;
    up = !up;
  }
  if (up) spans.push({ from, to: end });
  return spans;
}

/** To the second. */
function turning(low: Instant, high: Instant, isUp: (at: Instant) => boolean): Instant {
  let [a, b] = [low, high];
  const before = isUp(a);
  while (b - a > 1000) {
    const middle = Math.floor((a + b) / 2);
    if (isUp(middle) === before) a = middle;
    else b = middle;
  }
  return b;
}
