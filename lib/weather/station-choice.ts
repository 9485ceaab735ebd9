import { distanceKm, type LatLon } from "../core/earth.ts";
import type { Station } from "../core/records.ts";

/** Beyond this a station's rain says too little of the site's: the weather counts as unknown. */
export const STATION_LIMIT_KM = 60;

export type StationChoice =
  | { kind: "station"; stationId: string; distanceKm: number | null; named: boolean; says: string }
  | { kind: "none"; nearestKm: number | null; says: string };

/**
 * The station whose weather a site takes: the one it names (by id or alias), else the nearest within the limit.
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
  const says = `Weather of station ${nearest.station.stationId}, ${km.toFixed(0)} km away.`;
  return { kind: "station", stationId: nearest.station.stationId, distanceKm: km, named: false, says };
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
