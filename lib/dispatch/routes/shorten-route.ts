import type { RouteInstance } from "./route-instance.ts";
import { type TimedRoute, timeRoute } from "./route-times.ts";

const LEAST_GAIN = 1e-7;

/** The same stops in less driving: sections turned round (2-opt) and sections of up to three moved (or-opt). */
export function shortenRoute(instance: RouteInstance, day: number, route: TimedRoute): TimedRoute {
  let best = route;
  for (let improved = best.stops.length > 1; improved; ) {
    improved = false;
    const candidate = turned(instance, day, best) ?? moved(instance, day, best);
    if (candidate) {
      best = candidate;
      improved = true;
    }
  }
  return best;
}

function placesOf(instance: RouteInstance, day: number, route: TimedRoute): number[] {
  const crewDay = instance.crewDays[day] as (typeof instance.crewDays)[number];
  return [crewDay.startPlace, ...route.stops.map((index) => instance.stops[index]?.place as number), crewDay.endPlace];
}

/** Length of the road through the places. */
function along(instance: RouteInstance, places: readonly number[]): number {
  let total = 0;
  for (let k = 1; k < places.length; k++)
    total += instance.travel[places[k - 1] as number]?.[places[k] as number] as number;
  return total;
}

function turned(instance: RouteInstance, day: number, route: TimedRoute): TimedRoute | null {
  const places = placesOf(instance, day, route);
  const length = (a: number, b: number) => instance.travel[places[a] as number]?.[places[b] as number] as number;
  for (let i = 1; i < places.length - 2; i++) {
    let forth = 0;
    let back = 0;
    for (let j = i + 1; j < places.length - 1; j++) {
      forth += length(j - 1, j);
      back += length(j, j - 1);
      const gain = length(i - 1, i) + forth + length(j, j + 1) - length(i - 1, j) - back - length(i, j + 1);
      if (gain <= LEAST_GAIN) continue;
      const { stops } = route;
      const turnedRound = [...stops.slice(0, i - 1), ...stops.slice(i - 1, j).reverse(), ...stops.slice(j)];
      const timed = timeRoute(instance, day, turnedRound);
      if (timed) return timed;
    }
  }
  return null;
}

function moved(instance: RouteInstance, day: number, route: TimedRoute): TimedRoute | null {
  const { stops } = route;
  for (let size = 1; size <= Math.min(3, stops.length - 1); size++) {
    for (let from = 0; from + size <= stops.length; from++) {
      const section = stops.slice(from, from + size);
      const rest = [...stops.slice(0, from), ...stops.slice(from + size)];
      for (let to = 0; to <= rest.length; to++) {
        if (to === from) continue;
        const order = [...rest.slice(0, to), ...section, ...rest.slice(to)];
        const places = placesOf(instance, day, { ...route, stops: order });
        if (along(instance, places) >= route.travel - LEAST_GAIN) continue;
        const timed = timeRoute(instance, day, order);
        if (timed) return timed;
      }
    }
  }
  return null;
}
