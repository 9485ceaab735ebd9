import type { RouteInstance, Routes } from "./route-instance.ts";

/**
 * Every rule that a set of routes breaks, in words; empty when it keeps them all. Written apart from the planner and
 * sharing none of its code: it drives each route minute by minute from the base.
 *
 * @param slack minutes forgiven for rounding
 */
export function brokenRules(instance: RouteInstance, routes: Routes, slack = 1e-6): string[] {
  const broken: string[] = [];
  if (routes.length !== instance.crewDays.length) broken.push("not one route per crew-day");
  const seen = new Set<number>();
  routes.forEach((route, dayIndex) => {
    const day = instance.crewDays[dayIndex];
    if (!day) return;
    let clock = day.from;
    let here = day.startPlace;
    for (const index of route) {
      const stop = instance.stops[index];
      if (!stop) {
        broken.push(`${day.key}: unknown stop ${index}`);
        return;
      }
      if (seen.has(index)) broken.push(`${stop.key} is served twice`);
      seen.add(index);
      const offer = stop.offers[dayIndex];
      if (!offer) {
        broken.push(`${day.key} may not serve ${stop.key}`);
        return;
      }
      clock += instance.travel[here]?.[stop.place] ?? Number.NaN;
      const open = offer.windows.filter((window) => window.to + slack >= clock).sort((a, b) => a.from - b.from)[0];
      if (!open) {
        broken.push(`${day.key} reaches ${stop.key} after its last window`);
        return;
      }
      clock = Math.max(clock, open.from) + stop.serviceMinutes;
      here = stop.place;
    }
    if (route.length === 0) return;
    clock += instance.travel[here]?.[day.endPlace] ?? Number.NaN;
    if (!(clock <= day.to + slack)) broken.push(`${day.key} is back at ${clock}, after ${day.to}`);
  });
  return broken;
}
