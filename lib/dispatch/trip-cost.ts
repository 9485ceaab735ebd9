import { distanceKm } from "../core/earth.ts";
import type { Crew, Site, Skill } from "../core/records.ts";
import type { DispatchParameters } from "./dispatch-parameters.ts";

/** What one drive out and back for one visit costs, account currency. */
export interface TripCost {
  /** The crew it is reckoned with; null: no crew is recorded, defaults are used. */
  crewId: string | null;
  driveKm: number;
  driveHours: number;
  hoursOnSite: number;
  labour: number;
  distance: number;
  total: number;
  /** Skills the visit needs that this crew lacks. */
  lacking: Skill[];
}

/**
 * Cost of a trip by the crew that does it cheapest among those with the fewest lacking skills: there and back from
 * its base by road (great circle times a factor), the hours of drive and work, and the kilometres. Crew costs are in
 * the account's currency.
 */
export function tripCost(
  site: Site,
  hoursOnSite: number,
  skills: readonly Skill[],
  crews: readonly Crew[],
  params: DispatchParameters,
): TripCost {
  const forCrew = (crew: Crew | null): TripCost => {
    const oneWay = crew
      ? distanceKm(site, { latitude: crew.baseLatitude, longitude: crew.baseLongitude }) * params.roadFactor
      : params.defaultDistanceKm;
    const driveKm = 2 * oneWay;
    const driveHours = driveKm / params.speedKmh;
    const labour = (driveHours + hoursOnSite) * (crew?.hourlyCost ?? params.defaultHourlyCost);
    const distance = driveKm * (crew?.costPerKm ?? params.defaultCostPerKm);
    const lacking = crew ? skills.filter((skill) => !crew.skills.includes(skill)) : [];
    return {
      crewId: crew?.crewId ?? null,
      driveKm,
      driveHours,
      hoursOnSite,
      labour,
      distance,
      total: labour + distance,
      lacking,
    };
  };
  if (crews.length === 0) return forCrew(null);
  return crews
    .map(forCrew)
    .reduce((best, trip) =>
      (trip.lacking.length - best.lacking.length ||
        trip.total - best.total ||
        (String(trip.crewId) < String(best.crewId) ? -1 : 1)) < 0
        ? trip
        : best,
    );
}
