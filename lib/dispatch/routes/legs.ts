import { distanceKm, type LatLon } from "../../core/earth.ts";

/** Drives between nodes, row by row: `minutes[from * nodes + to]`. Infinity: there is no way. */
export interface Legs {
  nodes: number;
  minutes: Float64Array;
  km: Float64Array;
}

/**
 * Drives reckoned from the great circle: road kilometres are `roadFactor` times as many, driven at one speed.
 * @throws RangeError when the factor is below 1 or the speed not above 0
 */
export function legsByRoadFactor(places: readonly LatLon[], road: { roadFactor: number; speedKmh: number }): Legs {
  if (!(road.roadFactor >= 1)) throw new RangeError(`legsByRoadFactor requires a factor of 1 or more`);
  if (!(road.speedKmh > 0)) throw new RangeError(`legsByRoadFactor requires a speed above 0`);
  const nodes = places.length;
  const minutes = new Float64Array(nodes * nodes);
  const km = new Float64Array(nodes * nodes);
  for (const [a, from] of places.entries()) {
    for (let b = a + 1; b < nodes; b++) {
      const distance = distanceKm(from, places[b] as LatLon) * road.roadFactor;
      for (const at of [a * nodes + b, b * nodes + a]) {
        km[at] = distance;
        minutes[at] = (distance / road.speedKmh) * 60;
      }
    }
  }
  return { nodes, minutes, km };
}
