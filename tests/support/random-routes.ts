import { integerBelow, type Rng } from "../../lib/core/random.ts";
import type { RouteInstance, RouteStop } from "../../lib/dispatch/routes/route-instance.ts";

/** A small instance with skills, windows, tiers and values drawn at random. Minutes. */
export function randomInstance(rng: Rng, stopCount: number, dayCount: number, tiers = true): RouteInstance {
  const points = Array.from({ length: stopCount + dayCount }, () => [rng() * 100, rng() * 100] as const);
  const travel = points.map(([x, y]) => points.map(([u, v]) => Math.hypot(x - u, y - v) * (1 + 0.2 * rng())));
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
  return { crewDays, stops, travel };
}
