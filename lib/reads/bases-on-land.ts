import "server-only";
import { geoContains } from "d3-geo";
import { feature } from "topojson-client";
import type { GeometryCollection, Topology } from "topojson-specification";
import atlas from "us-atlas/states-10m.json" with { type: "json" };
import type { LatLon } from "../core/earth.ts";
import type { Crew } from "../core/records.ts";

const us = atlas as unknown as Topology<{ states: GeometryCollection }>;
let states: GeoJSON.FeatureCollection | null = null;
/** A base so close to land counts as on it: outlines are coarse, and piers are none. Degrees. */
const NEAR_DEG = 0.03;
const known = new Map<string, boolean>();

/** Whether a place lies on land of the outlines, or close to it. */
function isOnLand({ latitude, longitude }: LatLon): boolean {
  const key = `${latitude},${longitude}`;
  const before = known.get(key);
  if (before !== undefined) return before;
  states ??= feature(us, us.objects.states) as GeoJSON.FeatureCollection;
  const land = states;
  const near = [0, NEAR_DEG, -NEAR_DEG].flatMap((dx) => [0, NEAR_DEG, -NEAR_DEG].map((dy) => [dx, dy] as const));
  const found = near.some(([dx, dy]) => geoContains(land, [longitude + dx, latitude + dy]));
  if (known.size > 5_000) known.clear();
  known.set(key, found);
  return found;
}

/**
 * What stands against the bases of crews: in the sea, most often a sign that went missing or a latitude in the longitude's
 * place. Only where the sites lie on the outlines; elsewhere nothing is known of land.
 */
export function basesOffLand(crews: readonly Crew[], sites: readonly LatLon[]): string[] {
  if (sites.length === 0 || !isOnLand(sites[0] as LatLon)) return [];
  return crews
    .filter((crew) => !isOnLand({ latitude: crew.baseLatitude, longitude: crew.baseLongitude }))
    .map(
      (crew) =>
        `Crew ${crew.crewId}: its base at ${crew.baseLatitude.toFixed(3)}, ${crew.baseLongitude.toFixed(3)} lies in the sea or abroad; check its coordinates. It is planned from there all the same.`,
    );
}
