import type { RouteInstance } from "./route-instance.ts";

/** Crew-days that plan together, and the stops that are theirs. */
export interface Region {
  days: number[];
  stops: number[];
  /** Place of its middle base. */
  middle: number;
}

/** Bases that a region has about. */
const BASES = 5;
const MOST_ROUNDS = 30;

/**
 * Bases grouped around middles (k-medoids by minutes of driving), and each stop given to the region of the nearest base
 * that may serve it. Deterministic: the first middle is the most central base, each next the one farthest from all.
 */
export function regionsOf(instance: RouteInstance, perRegion = BASES): Region[] {
  const { travel, crewDays } = instance;
  const bases = [...new Set(crewDays.map((day) => day.startPlace))];
  const way = (from: number, to: number) => travel[from]?.[to] as number;
  const total = (from: number, others: readonly number[]) => others.reduce((sum, to) => sum + way(from, to), 0);
  const least = (places: readonly number[], of: (place: number) => number) =>
    places.reduce((best, place) => (of(place) < of(best) ? place : best));
  const middles = [least(bases, (base) => total(base, bases))];
  while (middles.length < Math.ceil(bases.length / perRegion))
    middles.push(least(bases, (base) => -Math.min(...middles.map((middle) => way(middle, base)))));
  let groups: number[][] = [];
  for (let round = 0; round < MOST_ROUNDS; round++) {
    groups = balanced(bases, middles, way);
    const moved = groups.map((group, at) =>
      group.length > 0 ? least(group, (base) => total(base, group)) : (middles[at] as number),
    );
    if (moved.every((place, at) => place === middles[at])) break;
    middles.splice(0, middles.length, ...moved);
  }
  const regions = groups.flatMap((group, at): Region[] => {
    const days = crewDays.flatMap((day, index) => (group.includes(day.startPlace) ? [index] : []));
    return days.length > 0 ? [{ days, stops: [], middle: middles[at] as number }] : [];
  });
  const regionOf = crewDays.map((_, day) => regions.findIndex((region) => region.days.includes(day)));
  instance.stops.forEach((stop, index) => {
    let best = -1;
    let nearest = Number.POSITIVE_INFINITY;
    stop.offers.forEach((offer, day) => {
      const minutes = offer ? way(crewDays[day]?.startPlace as number, stop.place) : Number.POSITIVE_INFINITY;
      if (minutes < nearest) [best, nearest] = [regionOf[day] as number, minutes];
    });
    regions[best]?.stops.push(index);
  });
  return regions;
}

/** Each base with the nearest middle that still has room; those come first for which the second choice is far worse. */
function balanced(bases: readonly number[], middles: readonly number[], way: (from: number, to: number) => number) {
  const most = Math.ceil(bases.length / middles.length);
  const inTurn = (base: number) => [...middles].sort((a, b) => way(a, base) - way(b, base) || a - b);
  const regret = (base: number) => {
    const [first, second] = inTurn(base);
    return second === undefined ? 0 : way(second, base) - way(first as number, base);
  };
  const groups = new Map(middles.map((middle) => [middle, [] as number[]]));
  for (const base of [...bases].sort((a, b) => regret(b) - regret(a) || a - b)) {
    const middle = inTurn(base).find((each) => (groups.get(each) as number[]).length < most);
    (groups.get(middle as number) as number[]).push(base);
  }
  return middles.map((middle) => groups.get(middle) as number[]);
}

/** For each pair of neighbouring regions the crew-days of the bases of both that lie nearest to the other. */
export function borderGroups(instance: RouteInstance, regions: readonly Region[]): number[][] {
  const base = (day: number) => instance.crewDays[day]?.startPlace as number;
  const way = (from: number, to: number) => instance.travel[from]?.[to] as number;
  const bases = (region: Region) => [...new Set(region.days.map(base))];
  const near = (of: Region, to: Region) => {
    const far = (place: number) => Math.min(...bases(to).map((other) => way(place, other)));
    return bases(of)
      .sort((a, b) => far(a) - far(b) || a - b)
      .slice(0, Math.ceil(BASES / 2));
  };
  return regions.flatMap((a, at) => {
    const others = regions.filter((_, k) => k !== at);
    return others
      .sort((x, y) => way(a.middle, x.middle) - way(a.middle, y.middle))
      .slice(0, 2)
      .filter((b) => regions.indexOf(b) > at)
      .map((b) => {
        const places = [...near(a, b), ...near(b, a)];
        return instance.crewDays.flatMap((_, day) => (places.includes(base(day)) ? [day] : []));
      });
  });
}
