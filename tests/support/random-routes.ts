import { integerBelow, type Rng } from "../../lib/core/random.ts";
import type { RouteInstance, RouteStop } from "../../lib/dispatch/routes/route-instance.ts";

/** Money for driving and work on every other crew-day; km of a road table of their own. */
export function withCosts(rng: Rng, instance: RouteInstance): RouteInstance {
  return {
    ...instance,
    crewDays: instance.crewDays.map((day) => ({ ...day, costPerMinute: 0.1 * rng(), costPerKm: 0.3 * rng() })),
    km: instance.metric ? instance.travel : instance.travel.map((row) => row.map((minutes) => minutes * (0.5 + rng()))),
  };
}

/**
 * A small instance with skills, windows, tiers and values drawn at random. Minutes.
 * @param straight ways as the crow flies; else some way round is quicker than the straight one
 */
export function randomInstance(
  rng: Rng,
  stopCount: number,
  dayCount: number,
  tiers = true,
  straight = false,
): RouteInstance {
  const points = Array.from({ length: stopCount + dayCount }, () => [rng() * 100, rng() * 100] as const);
  const detour = () => (straight ? 1 : 1 + 0.2 * rng());
  const travel = points.map(([x, y]) => points.map(([u, v]) => Math.hypot(x - u, y - v) * detour()));
  const crewDays = Array.from({ length: dayCount }, (_, d) => ({
    key: `day-${d}`,
    startPlace: stopCount + d,
    endPlace: stopCount + d,
    from: integerBelow(rng, 60),
    to: 240 + integerBelow(rng, 300),
  }));
  const stops: RouteStop[] = Array.from({ length: stopCount }, (_, index) => ({
    key: `stop-${index}`,
    place: index,
    serviceMinutes: 10 + integerBelow(rng, 90),
    tier: tiers && rng() < 0.15 ? ((1 + integerBelow(rng, 2)) as 1 | 2) : 0,
    offers: crewDays.map((day) => {
      if (rng() < 0.15) return null;
      const from = day.from + integerBelow(rng, 150);
      const gap = from + 20 + integerBelow(rng, 100);
      const windows = [{ from, to: gap }];
      if (rng() < 0.5) windows.push({ from: gap + 30, to: gap + 90 });
      return { value: 1 + integerBelow(rng, 50), windows };
    }),
  }));
  return straight ? { crewDays, stops, travel, metric: true } : { crewDays, stops, travel };
}
