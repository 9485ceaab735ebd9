import { distanceKm, type LatLon } from "../../core/earth.ts";
import type { Crew, Site } from "../../core/records.ts";
import { type PlanInput, placeKey } from "./plan-input.ts";

export interface RoadTable {
  minutes: number[][];
  km: number[][];
  /** Whether all ways are the great circle's, so that none through a third place is shorter. */
  metric: boolean;
  notes: string[];
}

/** A place on the road, with the key that given ways know it by. */
export interface RoadPlace extends LatLon {
  key: string;
}

/** Sites in the order of the visits, then the bases of the crews. */
export function roadPlaces(input: {
  visits: readonly { site: Pick<Site, "siteId" | "latitude" | "longitude"> }[];
  crews: readonly Crew[];
}): RoadPlace[] {
  return [
    ...input.visits.map(({ site }) => ({
      key: placeKey.site(site.siteId),
      latitude: site.latitude,
      longitude: site.longitude,
    })),
    ...input.crews.map((crew) => ({
      key: placeKey.crew(crew.crewId),
      latitude: crew.baseLatitude,
      longitude: crew.baseLongitude,
    })),
  ];
}

/**
 * Minutes and km between all places: as given where somebody gave them, else the great circle times a road factor at a
 * speed. Ways that a given table lacks are told of, with one of them by name.
 */
export function roadTable(places: readonly RoadPlace[], input: PlanInput): RoadTable {
  const straight = places.map((from) => places.map((to) => distanceKm(from, to) * input.roadFactor));
  const minutesOf = (km: number) => (km / input.speedKmh) * 60;
  const { roads } = input;
  if (!roads) return { km: straight, minutes: straight.map((row) => row.map(minutesOf)), metric: true, notes: [] };
  let holes = 0;
  let example = "";
  const legs = places.map((from, a) =>
    places.map((to, b) => {
      const km = straight[a]?.[b] as number;
      if (from.key === to.key) return { minutes: 0, km: 0 };
      const given = roads.leg(from.key, to.key);
      if (given && Number.isFinite(given.minutes) && given.minutes >= 0)
        return { minutes: given.minutes, km: given.km ?? km };
      if (holes++ === 0) example = `${from.key} to ${to.key}`;
      return { minutes: minutesOf(km), km };
    }),
  );
  const ways = places.length * (places.length - 1);
  const notes =
    holes === 0
      ? []
      : [
          `${roads.name} lacks ${holes} of ${ways} ways, such as ${example}; for these ${input.roadFactor} times the great circle at ${input.speedKmh} km/h is taken.`,
        ];
  return {
    km: legs.map((row) => row.map((leg) => leg.km)),
    minutes: legs.map((row) => row.map((leg) => leg.minutes)),
    metric: false,
    notes,
  };
}
