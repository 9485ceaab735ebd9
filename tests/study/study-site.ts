import { betaDeviate, gammaDeviate, integerBelow, normalDeviate, type Rng } from "../../lib/core/random.ts";
import {
  BONDING_CAUSES,
  CAUSES,
  type Cause,
  CHECKS,
  type Check,
  type FaultRow,
  type Inspection,
  type Inverter,
  type Section,
  type Site,
  type SiteRecords,
} from "../../lib/core/records.ts";
import { expit } from "../../lib/core/statistics.ts";
import { type ParameterValues, parameter } from "../../lib/diagnose/parameters.ts";
import { attributeLogOdds, baseLogOdds, siteAttributes } from "../../lib/diagnose/prior.ts";
import { HOUR, type StationSky } from "../../seed/sky.ts";
import { sampleInspection, sampleInverter, sampleRecords, sampleSection, sampleSite } from "../support/sample-site.ts";

/** A site of the study: its records as a company would hold them, and what is truly wrong with it. */
export interface StudySite {
  records: SiteRecords;
  causes: Cause[];
  inspected: boolean;
}

/** Where a world departs from the form of the model, not only from its numbers. */
export interface Nature {
  /** Shape of the gamma frailty of each cause at each site: the model has one lognormal for all. */
  frailtyShape: number;
  /** Chance that an onset is followed by another within days. */
  burst: number;
  /** Chance that an attribute was never written down, and that an onset was never logged. */
  unwritten: number;
  unlogged: number;
  /** Chance that a dry-day reading misses what is there. */
  dryMiss: number;
  /** How much of the model's chance that a bonding defect never trips holds in this world. */
  silence: number;
  /** Share of sites somebody inspected, and of checks done at an inspection. */
  inspected: number;
  checksDone: number;
}

const MINUTE = 60_000;
const one = <T>(rng: Rng, list: readonly T[]): T => list[integerBelow(rng, list.length)] as T;

/** One site under a sky, drawn from the world's own numbers. */
export function studySite(id: string, sky: StationSky, values: ParameterValues, nature: Nature, rng: Rng): StudySite {
  const full = describedSite(id, sky, rng);
  const end = sky.firstEnd + (sky.rainMm.length - 1) * HOUR;
  const odds = baseLogOdds(values);
  const more = attributeLogOdds(siteAttributes(full, end), values);
  const causes = CAUSES.filter((_, c) => rng() < expit((odds[c] as number) + (more[c] as number)));
  const home = new Map(causes.map((c) => [c, one(rng, full.sections)]));
  const faults = siteFaults({ full, sky, values, nature, rng, causes, home });
  const visited = rng() < nature.inspected;
  const records: SiteRecords = {
    ...forgotten(full, nature.unwritten, rng),
    faults,
    telemetry: full.inverters.flatMap((v) => reporting(id, v.inverterId, sky, end, rng)),
    inspections: visited ? inspections({ full, values, nature, rng, causes, home, end }) : [],
  };
  return { records, causes, inspected: visited };
}

function describedSite(id: string, sky: StationSky, rng: Rng): SiteRecords {
  const inverters: Inverter[] = Array.from({ length: one(rng, [1, 1, 1, 2, 2, 3]) }, (_, i) =>
    sampleInverter({
      siteId: id,
      inverterId: `I${i + 1}`,
      egcAwg: null,
      egcMaterial: null,
      detector: "residual_current",
    }),
  );
  const listed = one(rng, ["yes", "yes", "unknown", "no"] as const);
  const bonds = rng() < 0.5;
  const sections: Section[] = Array.from({ length: inverters.length + integerBelow(rng, 2) }, (_, i) =>
    sampleSection({
      siteId: id,
      sectionId: `A${i + 1}`,
      inverterId: `I${(i % inverters.length) + 1}`,
      egcAwg: null,
      egcMaterial: null,
      bondMethod: rng() < 0.04 ? "none" : "clip",
      bondedTo: bonds ? "bus" : null,
      hardwareListed: listed,
    }),
  );
  const site: Site = sampleSite({
    siteId: id,
    latitude: sky.station.latitude,
    longitude: sky.station.longitude,
    commissionedOn: `${2010 + integerBelow(rng, 14)}-06-01`,
    separateArrayElectrode: one(rng, ["none", "none", "none", "bonded", "unknown", "not_bonded"] as const),
    battery: one(rng, ["none", "none", "common_electrode", "separate_electrode"] as const),
    nearCoast: rng() < 0.25 ? "yes" : "no",
  });
  return sampleRecords({ site, inverters, sections });
}

/** Attributes that nobody wrote down. */
function forgotten(full: SiteRecords, share: number, rng: Rng): SiteRecords {
  const kept = <T>(value: T): T | null => (rng() < share ? null : value);
  const { site } = full;
  const listed = rng() < share ? null : undefined;
  return {
    ...full,
    site: {
      ...site,
      commissionedOn: kept(site.commissionedOn),
      nearCoast: kept(site.nearCoast),
      separateArrayElectrode: kept(site.separateArrayElectrode),
      battery: kept(site.battery),
    },
    sections: full.sections.map((s) => (listed === null ? { ...s, hardwareListed: null } : s)),
  };
}

function reporting(siteId: string, inverterId: string, sky: StationSky, end: number, rng: Rng) {
  const from = sky.firstEnd;
  const span = (startedAt: number, endedAt: number) => ({
    siteId,
    inverterId,
    startedAt,
    endedAt,
    state: "reporting" as const,
  });
  if (rng() > 0.3) return [span(from, end)];
  const gap = from + rng() * 0.7 * (end - from);
  return [span(from, gap), span(gap + 10 * 24 * HOUR * (1 + 3 * rng()), end)];
}

interface Making {
  full: SiteRecords;
  values: ParameterValues;
  nature: Nature;
  rng: Rng;
  causes: readonly Cause[];
  home: ReadonlyMap<Cause, Section>;
}

interface Source {
  name: string;
  frailty: number;
  /** Inverters at which it strikes, one drawn an onset. */
  at: readonly string[];
}

function siteFaults(making: Making & { sky: StationSky }): FaultRow[] {
  const { full, sky, values, nature, rng, causes, home } = making;
  const ids = full.inverters.map((v) => v.inverterId);
  const shape = nature.frailtyShape;
  const silent = rng() < parameter(values, "silent.bonding") * nature.silence;
  const sources: Source[] = causes
    .filter((c) => !(silent && (BONDING_CAUSES as readonly string[]).includes(c)))
    .map((c) => ({ name: c, frailty: gammaDeviate(rng, shape) / shape, at: [home.get(c)?.inverterId ?? "I1"] }));
  sources.push({
    name: "background",
    // The background sees every unit, and its frailty is of mean above one as the model's lognormal is.
    frailty: (gammaDeviate(rng, 1.2) / 1.2) * Math.exp(0.4) * ids.length,
    at: ids,
  });
  const rows: FaultRow[] = [];
  for (const source of sources)
    for (const h of onsetHours(source, sky, values, nature, rng)) {
      const start = sky.firstEnd + (h - 1) * HOUR + Math.floor(rng() * 59) * MINUTE;
      const stop = endOf(source.name, h, start, { sky, values, rng });
      const first = one(rng, source.at);
      const several = ids.length > 1 && rng() < shareOf(values, "several", source.name, rng);
      for (const inverterId of several ? ids : [first]) {
        if (rng() < nature.unlogged) continue;
        rows.push(faultRow(full.site.siteId, inverterId, start + (inverterId === first ? 0 : 7 * MINUTE), stop));
      }
    }
  return rows.sort((a, b) => a.startedAt - b.startedAt);
}

const faultRow = (siteId: string, inverterId: string, startedAt: number, endedAt: number): FaultRow => ({
  siteId,
  inverterId,
  startedAt,
  endedAt: Math.max(endedAt, startedAt + 10 * MINUTE),
  code: "GROUND_FAULT",
  codeSystem: "sunspec_evt1",
  message: null,
  resetAt: null,
  resetBy: "auto",
  ticketId: null,
  closedAs: "self_cleared",
});

/** A share of the world, scattered from onset to onset more than a coin with that chance would be. */
function shareOf(values: ParameterValues, kind: string, name: string, rng: Rng): number {
  const p = parameter(values, `${kind}.${name}`);
  return betaDeviate(rng, 6 * p, 6 * (1 - p));
}

/** Where the sky's own water says rain, dew, thunder, heat; not the product's films. */
export function skyState(sky: StationSky, h: number): "dry" | "hot" | "rain" | "dew" | "thunder" {
  if (sky.thunder[h] || sky.thunder[h - 1]) return "thunder";
  if ((sky.waterMm[h] as number) > 0.05 || (sky.rainMm[h] as number) > 0) return sky.dewy[h] ? "dew" : "rain";
  return (sky.temperatureC[h] as number) > 27 && (sky.sunDeg[h] as number) > 30 ? "hot" : "dry";
}

/** Hours since rain beyond which an onset counts as late, and the shares of lit hours that are late and at dawn. */
const LATE_OF_RAIN_HOURS = 0.35;
const DAWN_OF_HOURS = 0.09;

function onsetHours(source: Source, sky: StationSky, values: ParameterValues, nature: Nature, rng: Rng): number[] {
  const out: number[] = [];
  const late = parameter(values, `late.${source.name}`);
  const dawn = parameter(values, `dawn.${source.name}`);
  let sinceRain = 99;
  for (let h = 1; h < sky.rainMm.length; h++) {
    sinceRain = (sky.rainMm[h] as number) > 0 ? 0 : sinceRain + 1;
    if ((sky.sunDeg[h] as number) < 2) continue;
    const state = skyState(sky, h);
    let rate = (parameter(values, `rate.${source.name}.${state}`) / 1000) * source.frailty;
    if (state === "rain") rate *= sinceRain >= 2 ? late / LATE_OF_RAIN_HOURS : (1 - late) / (1 - LATE_OF_RAIN_HOURS);
    rate *= (sky.sunDeg[h - 1] as number) < 2 ? dawn / DAWN_OF_HOURS : (1 - dawn) / (1 - DAWN_OF_HOURS);
    if (rng() >= rate / (1 + nature.burst)) continue;
    out.push(h);
    const again = h + 4 + integerBelow(rng, 60);
    if (rng() < nature.burst && again < sky.rainMm.length && (sky.sunDeg[again] as number) > 2) out.push(again);
  }
  return out;
}

function endOf(
  name: string,
  onset: number,
  start: number,
  { sky, values, rng }: { sky: StationSky; values: ParameterValues; rng: Rng },
): number {
  let h = onset;
  if ((sky.waterMm[h] as number) > 0.05 && rng() < shareOf(values, "clears", name, rng)) {
    while (h < sky.rainMm.length - 1 && (sky.waterMm[h] as number) > 0.04) h++;
    return sky.firstEnd + h * HOUR + Math.floor(rng() * 60) * MINUTE;
  }
  return start + Math.round(Math.exp(3.5 + 1.1 * normalDeviate(rng))) * MINUTE;
}

const LIMITS: Partial<Record<Check, { unit: Inspection["unit"]; fails: (x: number) => boolean }>> = {
  bond_resistance: { unit: "ohm", fails: (x) => x > 1 },
  section_potential: { unit: "volt", fails: (x) => x >= 15 },
  insulation_resistance: { unit: "megohm", fails: (x) => x < 1 },
  electrode_resistance: { unit: "ohm", fails: (x) => x > 25 },
};

function inspections(making: Making & { end: number }): Inspection[] {
  const { full, nature, rng, end } = making;
  const at = end - (20 + 300 * rng()) * 24 * HOUR;
  const skill = 0.35 * normalDeviate(rng);
  return CHECKS.filter(() => rng() < nature.checksDone).flatMap((check) => {
    const places = OF_THE_SITE.includes(check) ? [one(rng, full.sections)] : full.sections.filter(() => rng() < 0.85);
    return places.map((section) => inspected(check, section, { at, skill }, making));
  });
}

/** Checks of one thing that a site has once. */
const OF_THE_SITE: readonly Check[] = [
  "electrode_resistance",
  "electrode_bonded",
  "electrode_depth",
  "battery_electrode",
];

function inspected(
  check: Check,
  section: Section,
  { at, skill }: { at: number; skill: number },
  making: Making,
): Inspection {
  const base = {
    siteId: making.full.site.siteId,
    check,
    inspectedAt: { at, day: new Date(at).toISOString().slice(0, 10), dayOnly: false },
    sectionId: section.sectionId,
    inverterId: section.inverterId,
    surface: "dry" as const,
  };
  const limit = LIMITS[check];
  if (!limit)
    return sampleInspection({ ...base, outcome: checkFails(check, section, making, skill) ? "fail" : "pass" });
  const value = reading(check, section, making);
  return sampleInspection({
    ...base,
    outcome: limit.fails(value) ? "fail" : "pass",
    value: value.toPrecision(3),
    unit: limit.unit,
    quantity: limit.unit === "volt" ? "ac_rms" : null,
    method: check === "bond_resistance" ? "four_wire" : null,
  });
}

/** Causes that are at the place looked at; those of the whole site are everywhere. */
const there = (section: Section, { causes, home }: Making): Cause[] =>
  causes.filter(
    (c) => c === "isolated_electrode" || c === "detector_fault" || home.get(c)?.sectionId === section.sectionId,
  );

function checkFails(check: Check, section: Section, making: Making, skill: number): boolean {
  const { values, rng } = making;
  let good = 1 - parameter(values, `check.${check}.falsePositive`);
  for (const cause of there(section, making)) {
    const finds = values.get(`check.${check}.${cause}`);
    if (finds !== undefined) good *= 1 - expit(Math.log(finds / (1 - finds)) + skill);
  }
  return rng() > good;
}

function reading(check: Check, section: Section, making: Making): number {
  const { values, rng, nature } = making;
  const healthy = parameter(values, `reading.${check}.healthy`);
  let centre = healthy;
  for (const cause of there(section, making)) {
    const median = values.get(`reading.${check}.${cause}`);
    if (median === undefined || rng() < nature.dryMiss) continue;
    const worse = check === "insulation_resistance" ? median < centre : median > centre;
    if (worse) centre = median;
  }
  // Now and then a reading is simply wrong: a lead off the metal, a digit slipped.
  const sd = parameter(values, "reading.spread") * (rng() < 0.05 ? 2.5 : 0.9);
  return Math.max(1e-3, centre * Math.exp(sd * normalDeviate(rng)));
}
