import type { RouteInstance } from "./route-instance.ts";

/** The instance in which nobody may serve what a plan leaves out of the tiers. */
export function withoutLeftOut(instance: RouteInstance, served: ReadonlySet<number>): RouteInstance {
  const stops = instance.stops.map((stop, index) =>
    stop.tier > 0 && !served.has(index) ? { ...stop, offers: stop.offers.map(() => null) } : stop,
  );
  return { ...instance, stops };
}

export const isLeftOut = (instance: RouteInstance, index: number) =>
  instance.stops[index]?.offers.every((offer) => offer === null) ?? true;
