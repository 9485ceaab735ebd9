import { integerBelow, type Rng } from "../../lib/core/random.ts";
import type { RouteInstance, RouteStop } from "../../lib/dispatch/routes/route-instance.ts";

/** A square region with crews spread in it; minutes, 60 km/h, shifts of 9 h, values skewed as losses are. */
export function fleetInstance(rng: Rng, sites: number, crews: number, days: number, sideKm = 200): RouteInstance {
  const points = Array.from({ length: sites + crews }, () => [sideKm * rng(), sideKm * rng()] as const);
  const travel = points.map(([x, y]) => points.map(([u, v]) => 1.3 * Math.hypot(x - u, y - v)));
  const crewDays = Array.from({ length: crews * days }, (_, index) => ({
    key: String(index),
    startPlace: sites + Math.floor(index / days),
    endPlace: sites + Math.floor(index / days),
    from: 0,
    to: 540,
  }));
  const roofCrew = Array.from({ length: crews }, (_, crew) => crew % 2 === 0);
  const stops: RouteStop[] = Array.from({ length: sites }, (_, index) => {
    const value = 5 + 40 * rng() ** 3;
    const roof = rng() < 0.3;
    const opens = rng() < 0.3 ? 60 * integerBelow(rng, 5) : 0;
    const closes = opens > 0 ? opens + 180 : 540;
    return {
      key: String(index),
      place: index,
      serviceMinutes: 60 + 15 * integerBelow(rng, 7),
      tier: 0,
      offers: crewDays.map((_, day) =>
        roof && !roofCrew[Math.floor(day / days)]
          ? null
          : { value: value * (1 - 0.01 * (day % days)), windows: [{ from: opens, to: closes }] },
      ),
    };
  });
  return { crewDays, stops, travel, metric: true };
}
