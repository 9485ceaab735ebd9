import { distanceKm } from "../lib/core/earth.ts";
import { integerBelow, normalDeviate, type Rng, seededRng } from "../lib/core/random.ts";
import { type Planted, plantList } from "./plant.ts";
import { HOUR, makeSkies, type Station, type StationSky } from "./sky.ts";

/** Options of the demo. The last day is fixed, so the demo reads the same on every machine and date. */
export interface WorldOptions {
  seed: string;
  sites: number;
  days: number;
  /** Last day, YYYY-MM-DD; the world ends at its end, UTC. */
  endDay: string;
}
export const DEMO: WorldOptions = { seed: "demo", sites: 120, days: 730, endDay: "2026-10-31" };

export interface DemoSection {
  sectionId: string;
  inverterId: string;
  bondedTo: string | null;
  azimuthDeg: number;
  listed: string;
  batch: string;
}

export interface DemoSite {
  siteId: string;
  name: string;
  portfolio: string;
  latitude: number;
  longitude: number;
  /** Weather that truly falls there; null station in the file when none is near. */
  sky: StationSky;
  planted: Planted;
  installer: string;
  inverters: string[];
  sections: DemoSection[];
  commissionedYear: number;
  access: string | null;
  mounting: string;
  dcKw: number;
  codeSystem: string;
  hasTelemetry: boolean;
  hasReadings: boolean;
  /** Log time minus true time, h. */
  clockHours: number;
  /** A recorded hazard that needs no score. */
  hazard: "volts" | "open_egc" | "insulation" | null;
  /** How strongly this site's defect shows. */
  frailty: number;
}

export interface DemoWorld {
  options: WorldOptions;
  start: number;
  end: number;
  skies: StationSky[];
  sites: DemoSite[];
}

/** Invented stations; the ground they lie on is inland prairie so that a map has land under it. */
const STATIONS: Station[] = [
  { stationId: "ALD01", name: "Alderfield airfield", latitude: 41.55, longitude: -93.6, elevationM: 290 },
  { stationId: "BRK02", name: "Brackwater gauge", latitude: 42.0, longitude: -92.5, elevationM: 270 },
  { stationId: "CRN03", name: "Cornhollow field", latitude: 41.0, longitude: -92.4, elevationM: 240 },
  { stationId: "DUN04", name: "Dunmarch station", latitude: 42.3, longitude: -94.3, elevationM: 350 },
  { stationId: "ELM05", name: "Elmsreach airfield", latitude: 40.8, longitude: -94.4, elevationM: 330 },
  { stationId: "FEN06", name: "Fennmoor gauge", latitude: 41.5, longitude: -95.2, elevationM: 380 },
];

const FIRST = [
  "Alder",
  "Birch",
  "Cedar",
  "Dun",
  "Elm",
  "Fen",
  "Glen",
  "Hazel",
  "Iron",
  "Juniper",
  "Kestrel",
  "Lark",
  "Maple",
  "Nettle",
  "Oak",
  "Pine",
];
const SECOND = ["court", "field", "gate", "hill", "mead", "mill", "park", "ridge", "side", "stead", "wharf", "yard"];
const USE = ["school", "warehouse", "clinic", "library", "depot", "farm", "plant", "market", "homes", "works"];
const PORTFOLIOS = ["North book", "River book", "Prairie book"];
const INSTALLERS = ["Installer A", "Installer B", "Installer C", "Installer D", "Installer E"];

export function pick<T>(rng: Rng, list: readonly T[]): T {
  return list[integerBelow(rng, list.length)] as T;
}

export function shuffled<T>(rng: Rng, list: readonly T[]): T[] {
  const out = [...list];
  for (let i = out.length - 1; i > 0; i--) {
    const j = integerBelow(rng, i + 1);
    [out[i], out[j]] = [out[j] as T, out[i] as T];
  }
  return out;
}

/** The whole invented world: weather, sites, and what is wrong with each. Pure; the same options give the same world. */
export function makeWorld(options: WorldOptions = DEMO): DemoWorld {
  const end = Date.parse(`${options.endDay}T00:00:00Z`) + 24 * HOUR;
  const start = end - options.days * 24 * HOUR;
  const skies = makeSkies(options.seed, STATIONS, start + HOUR, options.days * 24);
  const rng = seededRng(`${options.seed}/sites`);
  const plants = shuffled(rng, plantList(options.sites));
  const sites = plants.map((planted, i) => makeSite(i, planted, skies, seededRng(`${options.seed}/site/${i}`)));
  placeHazards(sites);
  return { options, start, end, skies, sites };
}

function makeSite(i: number, planted: Planted, skies: readonly StationSky[], rng: Rng): DemoSite {
  const near = pick(rng, skies);
  const far = i === 7;
  const latitude = far ? 43.9 : near.station.latitude + 0.18 * normalDeviate(rng);
  const longitude = far ? -91.0 : near.station.longitude + 0.22 * normalDeviate(rng);
  const sky = [...skies].sort(
    (a, b) => distanceKm({ latitude, longitude }, a.station) - distanceKm({ latitude, longitude }, b.station),
  )[0] as StationSky;
  return siteAt(i, planted, { siteId: `S${String(i + 1).padStart(3, "0")}`, latitude, longitude, sky }, rng);
}

/** A site at a place, with the weather that truly falls there. */
export function siteAt(
  i: number,
  planted: Planted,
  place: { siteId: string; latitude: number; longitude: number; sky: StationSky },
  rng: Rng,
): DemoSite {
  const { latitude, longitude, sky } = place;
  const installer = planted.kind === "open_section_bond" && rng() < 0.55 ? "Installer C" : pick(rng, INSTALLERS);
  const inverters = Array.from(
    { length: 1 + integerBelow(rng, planted.kind === "open_section_bond" ? 3 : 3) },
    (_, k) => `INV${k + 1}`,
  );
  const sections = makeSections(planted, inverters, rng);
  const dcKw = Math.round(inverters.length * (8 + 40 * rng()) * 10) / 10;
  const accessDraw = rng();
  return {
    siteId: place.siteId,
    name: `${pick(rng, FIRST)}${pick(rng, SECOND)} ${pick(rng, USE)}`,
    portfolio: PORTFOLIOS[i % PORTFOLIOS.length] as string,
    latitude: Math.round(latitude * 1e4) / 1e4,
    longitude: Math.round(longitude * 1e4) / 1e4,
    sky,
    planted,
    installer,
    inverters,
    sections,
    commissionedYear: 2011 + integerBelow(rng, 12),
    access:
      accessDraw < 0.3
        ? "commercial"
        : accessDraw < 0.5
          ? "residential"
          : accessDraw < 0.65
            ? "public"
            : accessDraw < 0.9
              ? "fenced"
              : null,
    mounting: rng() < 0.7 ? "roof" : rng() < 0.6 ? "ground" : "carport",
    dcKw,
    codeSystem: i % 9 === 4 ? "field_codes" : "sunspec_evt1",
    hasTelemetry: rng() < 0.5,
    hasReadings: i % 3 === 0,
    clockHours: i % 40 === 17 ? 5 : 0,
    hazard: null,
    frailty: Math.exp(0.4 * normalDeviate(rng)),
  };
}

function makeSections(planted: Planted, inverters: readonly string[], rng: Rng): DemoSection[] {
  const perInverter = planted.causes.includes("open_section_bond") ? 2 : 1 + integerBelow(rng, 2);
  const sections: DemoSection[] = [];
  const unlisted = planted.causes.includes("high_resistance_bond");
  for (const inverterId of inverters) {
    for (let k = 0; k < perInverter; k++) {
      const sectionId = `A${sections.length + 1}`;
      sections.push({
        sectionId,
        inverterId,
        bondedTo:
          rng() < (planted.causes.includes("open_section_bond") ? 0.15 : 0.55)
            ? sections.length === 0 || rng() < 0.6
              ? "bus"
              : (sections.at(-1)?.sectionId ?? "bus")
            : null,
        azimuthDeg: pick(rng, [90, 135, 180, 225, 270]),
        listed: unlisted ? pick(rng, ["no", "unknown", "unknown"]) : pick(rng, ["yes", "yes", "unknown"]),
        batch: `H${1 + integerBelow(rng, 6)}`,
      });
    }
  }
  return sections;
}

/** A handful of recorded hazards, each at a site where it makes sense. */
function placeHazards(sites: DemoSite[]): void {
  const open = sites.filter((s) => s.planted.causes.includes("open_section_bond"));
  const broken = sites.filter((s) => s.planted.kind === "egc_broken");
  const insulation = sites.filter((s) => s.planted.kind === "conductor_insulation");
  if (open[0]) open[0].hazard = "volts";
  if (open[5]) open[5].hazard = "volts";
  if (broken[0]) broken[0].hazard = "open_egc";
  if (insulation[0]) insulation[0].hazard = "insulation";
}
