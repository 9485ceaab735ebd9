import { integerBelow, type Rng, seededRng } from "../lib/core/random.ts";
import { plantList } from "./plant.ts";
import { CREW } from "./site-cells.ts";
import { HOUR, type Station, type StationSky, skyMaker } from "./sky.ts";
import type { Cells } from "./visits-made.ts";
import { type DemoSite, type DemoWorld, pick, shuffled, siteAt } from "./world.ts";

/** Options of a fleet of any size; the same options give the same fleet. */
export interface LargeFleetOptions {
  seed: string;
  sites: number;
  years: number;
  /** Last day, YYYY-MM-DD; the fleet's records end at its end, UTC. */
  endDay: string;
}

export const LARGE_FLEET: LargeFleetOptions = { seed: "large fleet", sites: 20_000, years: 5, endDay: "2026-10-31" };

/** Sites to a station of weather, to a book, to an installer, to a batch of hardware and to a crew. */
const PER = { station: 8, book: 100, installer: 60, batch: 200, crew: 100 };
/** Distance of neighbouring stations in degrees, about 40 km each way at these latitudes. */
const STEP = { latitude: 0.36, longitude: 0.48 };

/** One station with its weather and its sites: all that is in memory of a large fleet at a time. */
export interface StationFleet {
  world: DemoWorld;
  firstIndex: number;
  crews: Cells[];
}

export function largeFleetSpan({ years, endDay }: LargeFleetOptions): { days: number; start: number; end: number } {
  const days = Math.round(years * 365.2422);
  const end = Date.parse(`${endDay}T00:00:00Z`) + 24 * HOUR;
  return { days, start: end - days * 24 * HOUR, end };
}

/** Invented stations on a grid, so many to a square degree whatever the size of the fleet. */
export function largeFleetStations({ seed, sites }: LargeFleetOptions): Station[] {
  const count = Math.max(1, Math.ceil(sites / PER.station));
  const side = Math.ceil(Math.sqrt(count));
  const rng = seededRng(`${seed}/stations`);
  return Array.from({ length: count }, (_, k) => {
    const name = String(k + 1).padStart(5, "0");
    const [row, column] = [Math.floor(k / side), k % side];
    return {
      stationId: `W${name}`,
      name: `Field ${name}`,
      latitude: round(39 + (row - side / 2) * STEP.latitude),
      longitude: round(-94 + (column - side / 2) * STEP.longitude),
      elevationM: 260 + integerBelow(rng, 60),
    };
  });
}

const round = (degrees: number) => Math.round(degrees * 1e4) / 1e4;

/** Each station's weather in turn, made as it is taken. */
export function* largeFleetSkies(options: LargeFleetOptions): Generator<StationSky> {
  const { days, start } = largeFleetSpan(options);
  const skyOf = skyMaker(options.seed, start + HOUR, days * 24);
  for (const station of largeFleetStations(options)) yield skyOf(station);
}

/** The fleet, station by station, made as it is taken. */
export function* largeFleet(options: LargeFleetOptions): Generator<StationFleet> {
  const { days, start, end } = largeFleetSpan(options);
  const plants = shuffled(seededRng(`${options.seed}/plants`), plantList(options.sites));
  let firstIndex = 0;
  for (const sky of largeFleetSkies(options)) {
    const sites: DemoSite[] = [];
    while (sites.length < PER.station && firstIndex + sites.length < options.sites) {
      const i = firstIndex + sites.length;
      const rng = seededRng(`${options.seed}/site/${i}`);
      sites.push(siteOfStation(i, plants[i] as (typeof plants)[number], sky, options.sites, rng));
    }
    const world: DemoWorld = {
      options: { seed: options.seed, sites: options.sites, days, endDay: options.endDay },
      start,
      end,
      skies: [sky],
      sites,
    };
    yield { world, firstIndex, crews: crewsBetween(firstIndex, firstIndex + sites.length, sky.station) };
    firstIndex += sites.length;
  }
}

function siteOfStation(
  i: number,
  planted: ReturnType<typeof plantList>[number],
  sky: StationSky,
  sites: number,
  rng: Rng,
): DemoSite {
  const { station } = sky;
  // Within its station's part of the grid, so that the weather that falls there is that of the nearest station.
  const place = {
    siteId: `S${String(i + 1).padStart(5, "0")}`,
    latitude: round(station.latitude + 0.9 * STEP.latitude * (rng() - 0.5)),
    longitude: round(station.longitude + 0.9 * STEP.longitude * (rng() - 0.5)),
    sky,
  };
  const site = siteAt(i, planted, place, rng);
  const some = (each: number) => 1 + integerBelow(rng, Math.max(3, Math.ceil(sites / each)));
  const batches = [some(PER.batch), some(PER.batch)];
  return {
    ...site,
    portfolio: `Book ${1 + Math.floor(i / PER.book)}`,
    installer: `Installer ${some(PER.installer)}`,
    sections: site.sections.map((section) => ({ ...section, batch: `H${pick(rng, batches)}` })),
    hasReadings: i % 10 === 0,
  };
}

/** A crew at the station where every hundredth site comes. */
function crewsBetween(from: number, to: number, station: Station): Cells[] {
  const out: Cells[] = [];
  for (let i = Math.ceil(from / PER.crew) * PER.crew; i < to; i += PER.crew)
    out.push({
      ...CREW,
      crew_id: `C${1 + i / PER.crew}`,
      name: `Crew ${1 + i / PER.crew}`,
      base_latitude: String(station.latitude),
      base_longitude: String(station.longitude),
      skills: i % 300 === 0 ? "electrician;roof;battery" : "electrician;roof",
      people: "2",
      qualified_people: "2",
    });
  return out;
}
