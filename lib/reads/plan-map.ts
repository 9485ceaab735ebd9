import "server-only";
import { type GeoProjection, geoGraticule, geoMercator, geoPath } from "d3-geo";
import { mesh } from "topojson-client";
import type { GeometryCollection, Topology } from "topojson-specification";
import atlas from "us-atlas/counties-10m.json" with { type: "json" };
import type { PlanMap } from "./plan-board-view.ts";

const WIDTH = 720;
const HEIGHT = 520;
const MARGIN = 34;
/** A box smaller than this is widened, so that one site is not drawn on a street. Degrees. */
const LEAST_SPAN_DEG = 0.6;
/** On a wider map county lines are a grey of 250 kB. Degrees. */
const MOST_COUNTY_SPAN_DEG = 15;
/** Finest spacing of the net of meridians and parallels for a box so many degrees wide. */
const SPACINGS = [0.25, 0.5, 1, 2, 5, 10, 20, 45];

type Us = Topology<{ counties: GeometryCollection; states: GeometryCollection }>;
const us = atlas as unknown as Us;
let borders: { states: ReturnType<typeof mesh>; counties: ReturnType<typeof mesh> } | null = null;

/** State and county lines, each drawn once. Cartographic boundary files of the US Census Bureau by way of us-atlas. */
function bordersOf() {
  borders ??= {
    states: mesh(us, us.objects.states),
    counties: mesh(us, us.objects.counties, (a, b) => a !== b && String(a.id).slice(0, 2) === String(b.id).slice(0, 2)),
  };
  return borders;
}

interface Place {
  latitude: number;
  longitude: number;
}
type Site = Omit<PlanMap["sites"][number], "x" | "y"> & Place;
type Base = Omit<PlanMap["bases"][number], "x" | "y"> & Place;

/**
 * Sites, bases and routes on outlines, as paths of a drawing. Places beyond the outlines stand on the net of meridians
 * and parallels alone.
 *
 * @param routes places of each crew-day in order, base to base
 */
export function planMap(
  sites: readonly Site[],
  bases: readonly Base[],
  routes: readonly { crewId: string; day: string; places: readonly Place[] }[],
): PlanMap {
  const empty = {
    width: WIDTH,
    height: HEIGHT,
    states: "",
    counties: "",
    graticule: "",
    sites: [],
    bases: [],
    routes: [],
  };
  const all = [...sites, ...bases];
  if (all.length === 0) return empty;
  const { at, outlines } = ground(all);
  return {
    ...empty,
    ...outlines,
    sites: sites.map(({ latitude, longitude, ...site }) => ({ ...site, ...at({ latitude, longitude }) })),
    bases: bases.map(({ latitude, longitude, ...base }) => ({ ...base, ...at({ latitude, longitude }) })),
    routes: routes.map(({ crewId, day, places }) => ({
      crewId,
      day,
      path: places.map((place, i) => `${i === 0 ? "M" : "L"}${at(place).x},${at(place).y}`).join(""),
    })),
  };
}

interface Outlines {
  states: string;
  counties: string;
  graticule: string;
}
/** Lines of the boxes that were drawn last: most maps are of the same fleet, and its lines cost more than its marks. */
const drawn = new Map<string, Outlines>();
const MOST_DRAWN = 16;

function drawnOutlines(projection: GeoProjection, box: Box): Outlines {
  const key = JSON.stringify(box);
  const before = drawn.get(key);
  if (before) return before;
  const path = geoPath(projection).digits(1);
  const { states, counties } = bordersOf();
  const step = SPACINGS.find((each) => box.span / each <= 6) ?? 90;
  const outlines = {
    states: path(states) ?? "",
    counties: box.span > MOST_COUNTY_SPAN_DEG ? "" : (path(counties) ?? ""),
    graticule: path(geoGraticule().step([step, step])()) ?? "",
  };
  drawn.set(key, outlines);
  for (const [old] of drawn) {
    if (drawn.size <= MOST_DRAWN) break;
    drawn.delete(old);
  }
  return outlines;
}

/**
 * Outlines around places, where each place stands among them, and how degrees are read off the drawing.
 * @throws RangeError when there is no place
 */
export function ground(places: readonly Place[]) {
  if (places.length === 0) throw new RangeError("ground requires at least one place");
  const box = boxOf(places);
  const projection = geoMercator()
    .rotate([-box.center, 0])
    .fitExtent(
      [
        [MARGIN, MARGIN],
        [WIDTH - MARGIN, HEIGHT - MARGIN],
      ],
      { type: "MultiPoint", coordinates: box.corners },
    )
    .clipExtent([
      [0, 0],
      [WIDTH, HEIGHT],
    ]);
  const at = ({ longitude, latitude }: Place) => {
    const [x, y] = projection([longitude, latitude]) ?? [0, 0];
    return { x: Math.round(x * 10) / 10, y: Math.round(y * 10) / 10 };
  };
  const outlines = drawnOutlines(projection, box);
  const [x, y] = projection.translate();
  return {
    width: WIDTH,
    height: HEIGHT,
    at,
    outlines,
    projection: { center: box.center, scale: projection.scale(), x, y },
  };
}

interface Box {
  center: number;
  span: number;
  corners: [number, number][];
}

/** The smallest box around places, also across the 180th meridian. */
function boxOf(places: readonly Place[]): Box {
  const longitudes = places.map((place) => place.longitude).sort((a, b) => a - b);
  let gap = { size: (longitudes[0] as number) + 360 - (longitudes.at(-1) as number), after: longitudes.length - 1 };
  for (let i = 1; i < longitudes.length; i++) {
    const size = (longitudes[i] as number) - (longitudes[i - 1] as number);
    if (size > gap.size) gap = { size, after: i - 1 };
  }
  const west = longitudes[(gap.after + 1) % longitudes.length] as number;
  const width = 360 - gap.size;
  const latitudes = places.map((place) => place.latitude);
  const [south, north] = [Math.min(...latitudes), Math.max(...latitudes)];
  const span = Math.max(LEAST_SPAN_DEG, width, north - south);
  const center = west + width / 2;
  const half = Math.max(LEAST_SPAN_DEG, width) / 2;
  const middle = (south + north) / 2;
  const tall = Math.max(LEAST_SPAN_DEG / 2, north - south) / 2;
  const clamp = (latitude: number) => Math.max(-85, Math.min(85, latitude));
  return {
    ...{ center, span },
    corners: [
      [center - half, clamp(middle - tall)],
      [center + half, clamp(middle + tall)],
    ],
  };
}
