import { distanceKm, type LatLon } from "../core/earth.ts";
import type { Station } from "../core/records.ts";

/** Beyond this a station's rain says too little of the site's: the weather counts as unknown. */
export const STATION_LIMIT_KM = 60;

/** Height counts like distance when stations are put in order: so many metres are as bad as a kilometre. */
const METRES_PER_KM = 12;
/** Stations looked at for one site: the first, and those that may stand in for it. */
const MOST_STATIONS = 3;

/** Another station near the site, which may stand in where the first knows nothing. */
export interface HelperStation {
  stationId: string;
  distanceKm: number;
  /** Its height less that of the first, m; null: not known. */
  heightM: number | null;
}

export type StationChoice =
  | {
      kind: "station";
      stationId: string;
      distanceKm: number | null;
      named: boolean;
      /** Nearest first, at most two, all within the limit; none beside a named station. */
      helpers: HelperStation[];
      says: string;
    }
  | { kind: "none"; nearestKm: number | null; says: string };

/**
 * The station whose weather a site takes: the one it names (by id or alias), else the nearest within the limit, where a
 * station much higher or lower than the others near the site counts as farther. The site's own height is not known; its
 * neighbours' middle height stands for it.
 * @returns `none` with the reason when there is none: the weather is then unknown, never dry
 */
export function chooseStation(
  site: LatLon & { stationId: string | null },
  stations: readonly Station[],
  limitKm: number = STATION_LIMIT_KM,
): StationChoice {
  if (site.stationId !== null) return namedStation(site, site.stationId, stations);
  const [nearest] = nearestStations(site, stations, 1);
  if (!nearest)
    return {
      kind: "none",
      nearestKm: null,
      says: "No weather station with coordinates is known, so the weather is unknown.",
    };
  const km = nearest.distanceKm;
  if (km > limitKm) {
    return {
      kind: "none",
      nearestKm: km,
      says: `The nearest weather station is ${km.toFixed(0)} km away, more than ${limitKm} km, so the weather is unknown.`,
    };
  }
  const [first = nearest, ...rest] = byWorth(nearestStations(site, stations, 2 * MOST_STATIONS), limitKm);
  const helpers = rest.slice(0, MOST_STATIONS - 1).map(({ station, distanceKm: away }) => ({
    stationId: station.stationId,
    distanceKm: away,
    heightM: heightBetween(first.station, station),
  }));
  const says = `Weather of station ${first.station.stationId}, ${first.distanceKm.toFixed(0)} km away.`;
  return {
    kind: "station",
    stationId: first.station.stationId,
    distanceKm: first.distanceKm,
    named: false,
    helpers,
    says,
  };
}

/** North to south a degree is at least this long, so stations farther away in latitude alone are beyond the limit. */
const KM_PER_DEGREE = 110;
/** No station beyond this north or south of a site is within the limit. */
export const STATION_REACH_DEGREES = STATION_LIMIT_KM / KM_PER_DEGREE;

/**
 * Chooses stations for many sites as chooseStation does for one, looking only at those near the latitude of a site.
 * @shape O(stations log stations) once, then O(stations within the limit north and south) a site
 */
export class StationChooser {
  readonly #all: readonly Station[];
  readonly #byLatitude: { station: Station; latitude: number }[];

  constructor(stations: readonly Station[]) {
    this.#all = stations;
    this.#byLatitude = stations
      .flatMap((station) => {
        const where = position(station);
        return where ? [{ station, latitude: where.latitude }] : [];
      })
      .sort((a, b) => a.latitude - b.latitude);
  }

  choose(site: LatLon & { stationId: string | null }): StationChoice {
    if (site.stationId !== null) return chooseStation(site, this.#all);
    const reach = STATION_REACH_DEGREES;
    const near: Station[] = [];
    for (let i = this.#firstFrom(site.latitude - reach); i < this.#byLatitude.length; i++) {
      const { station, latitude } = this.#byLatitude[i] as { station: Station; latitude: number };
      if (latitude > site.latitude + reach) break;
      near.push(station);
    }
    const choice = chooseStation(site, near);
    // None near: how far the nearest is takes all of them.
    return choice.kind === "station" ? choice : chooseStation(site, this.#all);
  }

  #firstFrom(latitude: number): number {
    let low = 0;
    let high = this.#byLatitude.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((this.#byLatitude[middle] as { latitude: number }).latitude < latitude) low = middle + 1;
      else high = middle;
    }
    return low;
  }
}

function heightBetween(first: Station, other: Station): number | null {
  return first.elevationM === null || other.elevationM === null ? null : other.elevationM - first.elevationM;
}

/** Those within the limit, best first: by distance with a height unlike the neighbours' counted in. */
function byWorth(near: readonly { station: Station; distanceKm: number }[], limitKm: number) {
  const within = near.filter((n) => n.distanceKm <= limitKm);
  const heights = within.flatMap((n) => n.station.elevationM ?? []).sort((a, b) => a - b);
  const middle = heights[heights.length >> 1];
  const worth = (n: (typeof within)[number]) =>
    n.distanceKm +
    (middle === undefined || n.station.elevationM === null
      ? 0
      : Math.abs(n.station.elevationM - middle) / METRES_PER_KM);
  return [...within].sort((a, b) => worth(a) - worth(b));
}

function namedStation(site: LatLon, name: string, stations: readonly Station[]): StationChoice {
  const station = stations.find((s) => s.stationId === name) ?? stations.find((s) => s.aliases.includes(name));
  if (!station) {
    return {
      kind: "none",
      nearestKm: null,
      says: `The site names station ${name}, of which no weather is known, so the weather is unknown.`,
    };
  }
  const km = position(station) ? distanceKm(site, position(station) as LatLon) : null;
  const away = km === null ? "distance not known" : `${km.toFixed(0)} km away`;
  return {
    kind: "station",
    stationId: station.stationId,
    distanceKm: km,
    named: true,
    helpers: [],
    says: `Weather of station ${name}, named by the site, ${away}.`,
  };
}

/** Stations with coordinates, nearest first; ties by id. */
export function nearestStations(
  site: LatLon,
  stations: readonly Station[],
  count: number,
): { station: Station; distanceKm: number }[] {
  return stations
    .flatMap((station) => {
      const where = position(station);
      return where ? [{ station, distanceKm: distanceKm(site, where) }] : [];
    })
    .sort((a, b) => a.distanceKm - b.distanceKm || (a.station.stationId < b.station.stationId ? -1 : 1))
    .slice(0, count);
}

function position(station: Station): LatLon | null {
  return station.latitude === null || station.longitude === null
    ? null
    : { latitude: station.latitude, longitude: station.longitude };
}
