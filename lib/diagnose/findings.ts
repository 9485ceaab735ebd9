import { CAUSES, type Inspection, type Instant, type SiteRecords } from "../core/records.ts";
import { expit, logit } from "../core/statistics.ts";
import type { ReadingsInWeather } from "../correlate/readings-in-weather.ts";
import { siteConductors } from "../grounding/site-conductors.ts";
import { voltageFirst } from "../grounding/voltage-first.ts";
import { inspectorKey } from "./inspector-key.ts";
import { type ParameterValues, parameter } from "./parameters.ts";

/** One thing that somebody measured, saw or recorded, still without its weight. */
export interface Finding {
  /** Evidence source: `measurement`, `checklist`, `record` or `readings`. */
  source: "measurement" | "checklist" | "record" | "readings";
  /** Findings of one group are weighed and shown together. */
  group: string;
  at: Instant;
  /** Where: a section or an inverter of the site; null: the whole site. */
  sectionId: string | null;
  inverterId: string | null;
  weigh: Weighing;
  /** In words, without the weight. */
  says: string;
}

type Weighing =
  | {
      kind: "reading";
      reading: string;
      value: number;
      wet: boolean;
      doubtful: boolean;
      twoLead: boolean;
      /** The check whose outcome was recorded as a failure with this number; null: passed. */
      failedAs: string | null;
    }
  | { kind: "check"; check: string; fails: boolean; inspector: string | null }
  | { kind: "size"; undersized: boolean };

const OHMS = { ohm: 1, kohm: 1e3, megohm: 1e6 } as const;
const READING_OF: Partial<Record<Inspection["check"], { reading: string; unit: "ohm" | "volt" | "megohm" }>> = {
  bond_resistance: { reading: "bond_resistance", unit: "ohm" },
  section_jumper: { reading: "bond_resistance", unit: "ohm" },
  section_potential: { reading: "section_potential", unit: "volt" },
  insulation_resistance: { reading: "insulation_resistance", unit: "megohm" },
  electrode_resistance: { reading: "electrode_resistance", unit: "ohm" },
};

/**
 * Everything found at a site up to an instant, oldest first. What somebody was unable to check is no finding.
 */
export function findingsOf(
  records: SiteRecords,
  asOf: Instant,
  readings: readonly ReadingsInWeather[] = [],
): Finding[] {
  const past = records.inspections.filter((i) => i.inspectedAt.at <= asOf && i.outcome !== "unable");
  const out = past.map((i) => inspectionFinding(i, records.inspections));
  out.push(
    ...conductorFindings(records, asOf),
    ...insulationFindings(records, asOf),
    ...readings.flatMap(trendFindings),
  );
  return out.sort((a, b) => a.at - b.at || (a.group < b.group ? -1 : a.group > b.group ? 1 : 0));
}

/** What one row of an inspection found. @param all rows among which a voltage may have been read first */
export function inspectionFinding(i: Inspection, all: readonly Inspection[]): Finding {
  const place = i.sectionId ? ` of section ${i.sectionId}` : i.inverterId ? ` of inverter ${i.inverterId}` : "";
  const base = { at: i.inspectedAt.at, sectionId: sectionOf(i), inverterId: i.inverterId };
  const value = numberIn(i);
  const known = READING_OF[i.check];
  if (value !== null && known) {
    const doubtful = known.unit === "ohm" && voltageFirst(i, all) === null;
    const shown = `${i.value} ${i.unit}${i.quantity ? ` ${i.quantity.replace("_", " ")}` : ""}`;
    return {
      ...base,
      source: "measurement",
      group: `${i.check}${i.sectionId ?? ""}`,
      weigh: {
        kind: "reading",
        reading: known.reading,
        value,
        wet: i.surface === "wet" || i.surface === "damp",
        doubtful,
        twoLead: i.method === "two_lead" || i.method === null,
        failedAs: i.outcome === "fail" ? i.check : null,
      },
      says: `${words(i.check)}${place} on ${i.inspectedAt.day}: ${shown}${doubtful ? " (no voltage was read there first: doubtful)" : ""}`,
    };
  }
  return {
    ...base,
    source: "checklist",
    group: i.check,
    weigh: { kind: "check", check: i.check, fails: i.outcome === "fail", inspector: i.inspector },
    says: `${words(i.check)}${place} on ${i.inspectedAt.day}: ${i.outcome === "fail" ? "failed" : "no fault seen"}`,
  };
}

/** The section that a row speaks of: its own column, or the first section named by a point. */
export function sectionOf(i: Pick<Inspection, "sectionId" | "pointA" | "pointB">): string | null {
  if (i.sectionId) return i.sectionId;
  for (const point of [i.pointA, i.pointB]) if (point?.startsWith("section:")) return point.slice("section:".length);
  return null;
}

/** The number in the unit that its reading is judged in; null when there is none, or it cannot be. */
function numberIn(i: Pick<Inspection, "check" | "value" | "unit">): number | null {
  if (i.value === null || i.unit === null || i.unit === "awg" || i.unit === "foot") return null;
  const value = Math.abs(Number(i.value));
  if (!Number.isFinite(value) || i.value.trim() === "") return null;
  if (i.unit === "volt") return i.check === "section_potential" ? value : null;
  if (i.check === "section_potential") return null;
  const ohms = value * OHMS[i.unit];
  return i.check === "insulation_resistance" ? ohms / 1e6 : ohms;
}

function conductorFindings(records: SiteRecords, asOf: Instant): Finding[] {
  return siteConductors(records, asOf).flatMap(({ verdict, sectionId, inverterId, role }) => {
    if (verdict.kind !== "right" && verdict.kind !== "undersized") return [];
    if (role === "gec") return [];
    return [
      {
        source: "record" as const,
        group: "conductor_size",
        at: Number.NEGATIVE_INFINITY,
        sectionId,
        inverterId,
        weigh: { kind: "size" as const, undersized: verdict.kind === "undersized" },
        says: verdict.says,
      },
    ];
  });
}

/** The low end of what an inverter itself reports of its array's insulation. */
function insulationFindings(records: SiteRecords, asOf: Instant): Finding[] {
  const FEWEST = 20;
  return records.inverters.flatMap(({ inverterId }) => {
    const values = records.readings
      .filter((r) => r.inverterId === inverterId && r.observedAt <= asOf && r.insulationKohm !== null)
      .map((r) => r.insulationKohm as number)
      .sort((a, b) => a - b);
    if (values.length < FEWEST) return [];
    const low = values[Math.floor(values.length * 0.05)] as number;
    const last = records.readings.findLast((r) => r.inverterId === inverterId && r.observedAt <= asOf);
    return [
      {
        source: "readings" as const,
        group: "reported_insulation",
        at: last?.observedAt ?? asOf,
        sectionId: null,
        inverterId,
        weigh: {
          kind: "reading" as const,
          reading: "reported_insulation",
          value: low,
          wet: true,
          doubtful: false,
          twoLead: false,
          failedAs: null,
        },
        says: `Insulation reported by inverter ${inverterId}: lowest twentieth ${Math.round(low)} kohm of ${values.length} readings`,
      },
    ];
  });
}

/**
 * What water, and time, do to the insulation and the leakage that an inverter reports. All of it is one series of one
 * instrument, so it stands in one group with the low end: each kind beside another weighs less.
 */
function trendFindings(r: ReadingsInWeather): Finding[] {
  const finding = (reading: string, value: number | null, says: string): Finding[] =>
    value === null
      ? []
      : [
          {
            source: "readings",
            group: "reported_insulation",
            at: r.at,
            sectionId: null,
            inverterId: r.inverterId,
            weigh: { kind: "reading", reading, value, wet: true, doubtful: false, twoLead: false, failedAs: null },
            says,
          },
        ];
  const times = (value: number | null) => (value ?? 1).toFixed(2);
  const counted = `${r.wetReadings} wet and ${r.dryReadings} dry readings`;
  return [
    ...finding(
      "residual_wet_to_dry",
      r.residualWetToDry,
      `Residual current reported by inverter ${r.inverterId} when wet: ${times(r.residualWetToDry)} times that when dry (${counted})`,
    ),
    ...finding(
      "insulation_wet_to_dry",
      r.insulationWetToDry,
      `Insulation reported by inverter ${r.inverterId} when wet: ${times(r.insulationWetToDry)} times that when dry (${counted})`,
    ),
    ...finding(
      "insulation_wet_change",
      r.insulationWetChange,
      `Insulation reported by inverter ${r.inverterId} when wet changed to ${times(r.insulationWetChange)} times over ${Math.round(r.changeDays)} days`,
    ),
  ];
}

function words(check: string): string {
  const text = check.replaceAll("_", " ");
  return (text[0] as string).toUpperCase() + text.slice(1);
}

/**
 * Weight of a finding for each cause at the place it speaks of: ln P(finding | cause there) - ln P(finding | none).
 * @returns one number a cause, in the order of CAUSES; 0 where the finding says nothing of it
 */
export function findingWeights({ weigh }: Finding, values: ParameterValues): Float64Array {
  if (weigh.kind === "size") return sizeWeights(weigh.undersized, values);
  if (weigh.kind === "check") return checkWeights(weigh.check, weigh.fails, values, weigh.inspector);
  const out = readingWeights(weigh, values);
  // A number recorded as a failure is at least a failed check, whatever the number alone would say.
  if (weigh.failedAs !== null) {
    const failed = checkWeights(weigh.failedAs, true, values);
    for (let c = 0; c < CAUSE_COUNT; c++) if (failed[c] !== 0) out[c] = Math.max(out[c] as number, failed[c] as number);
  }
  return out;
}

const CAUSE_COUNT = CAUSES.length;
const UNDERSIZED = CAUSES.indexOf("egc_undersized");

/** Keys by cause under a prefix, joined once: they are looked up for every draw of every site. */
const joined = new Map<string, { falsePositive: string; healthy: string; ofCause: string[] }>();
function keysUnder(kind: "check" | "reading", name: string) {
  const prefix = `${kind}.${name}`;
  let keys = joined.get(prefix);
  if (!keys) {
    keys = {
      falsePositive: `${prefix}.falsePositive`,
      healthy: `${prefix}.healthy`,
      ofCause: CAUSES.map((cause) => `${prefix}.${cause}`),
    };
    joined.set(prefix, keys);
  }
  return keys;
}

function sizeWeights(undersized: boolean, values: ParameterValues): Float64Array {
  const out = new Float64Array(CAUSE_COUNT);
  const finds = parameter(values, "record.sensitivity");
  out[UNDERSIZED] = checkWeight(undersized, finds, parameter(values, "record.falsePositive"));
  return out;
}

/** An inspector of whom something was learned finds and cries wolf by his own odds. */
function checkWeights(
  check: string,
  fails: boolean,
  values: ParameterValues,
  inspector: string | null = null,
): Float64Array {
  const out = new Float64Array(CAUSE_COUNT);
  const keys = keysUnder("check", check);
  const own = (kind: "sensitivity" | "falsePositive", p: number) => {
    const shift = inspector === null ? undefined : values.get(inspectorKey(inspector, kind));
    return shift === undefined ? p : expit(logit(p) + shift);
  };
  const falsePositive = own("falsePositive", parameter(values, keys.falsePositive));
  for (let c = 0; c < CAUSE_COUNT; c++) {
    const finds = values.get(keys.ofCause[c] as string);
    if (finds !== undefined) out[c] = checkWeight(fails, own("sensitivity", finds), falsePositive);
  }
  return out;
}

/** Whether a row is weighed as a check that passes or fails, and not by the number in it. */
export function isPlainCheck(i: Pick<Inspection, "check" | "value" | "unit">): boolean {
  return !READING_OF[i.check] || numberIn(i) === null;
}

/** A check finds a cause with some chance and cries wolf with another; a pass is only as strong as the check is good. */
function checkWeight(fails: boolean, finds: number, falsePositive: number): number {
  return fails ? Math.log((1 - (1 - falsePositive) * (1 - finds)) / falsePositive) : Math.log(1 - finds);
}

/** Readings against the inverter's own: they scatter less than those of different sites. */
const RELATIVE: ReadonlySet<string> = new Set([
  "insulation_wet_to_dry",
  "insulation_wet_change",
  "residual_wet_to_dry",
]);

/** Student's t with 4 degrees of freedom, up to a factor. */
const density = (t: number) => (1 + t ** 2 / 4) ** -2.5;

/**
 * Readings scatter around a median on the log scale with heavy tails (Student t, 4 degrees of freedom), and with some
 * chance the cause does not show at the time or place of the test.
 */
function readingWeights(weigh: Extract<Weighing, { kind: "reading" }>, values: ParameterValues): Float64Array {
  const out = new Float64Array(CAUSE_COUNT);
  const { median, logMedian, healthy: known } = readingRow(weigh.reading, values);
  const relative = RELATIVE.has(weigh.reading);
  const spread =
    parameter(values, relative ? "reading.relative_spread" : "reading.spread") *
    (weigh.doubtful ? parameter(values, "reading.doubtful") : 1);
  const floor = weigh.twoLead && weigh.reading === "bond_resistance" ? parameter(values, "reading.two_lead_floor") : 0;
  const healthy = Math.max(known, floor);
  const logHealthy = Math.log(healthy);
  const x = Math.log(Math.max(weigh.value, floor, healthy / 100));
  const asHealthy = density((x - logHealthy) / spread);
  const miss = Math.min(
    0.9,
    parameter(values, weigh.wet ? "reading.miss.wet" : "reading.miss.dry") * (weigh.doubtful ? 1.4 : 1),
  );
  for (let c = 0; c < CAUSE_COUNT; c++) {
    const ofCause = median[c] as number;
    if (Number.isNaN(ofCause)) continue;
    const log = logMedian[c] as number;
    // Beyond the healthy side a reading is only ever healthy: 0.001 ohm is no sign of anything but a good bond.
    const better = healthy < ofCause ? x < logHealthy : x > logHealthy;
    const worse = healthy < ofCause ? x > log : x < log;
    const ratio = (worse ? 1 : density((x - log) / spread)) / (better ? 1 : asHealthy);
    out[c] = Math.log(miss + (1 - miss) * ratio);
  }
  return out;
}

/** What a kind of reading is under a table: medians by cause, NaN where it shows none, and that of a healthy array. */
interface ReadingRow {
  healthy: number;
  median: Float64Array;
  logMedian: Float64Array;
}

const readingRows = new WeakMap<ParameterValues, Map<string, ReadingRow>>();

function readingRow(reading: string, values: ParameterValues): ReadingRow {
  let rows = readingRows.get(values);
  if (!rows) {
    rows = new Map();
    readingRows.set(values, rows);
  }
  let row = rows.get(reading);
  if (!row) {
    const keys = keysUnder("reading", reading);
    const median = Float64Array.from(keys.ofCause, (key) => values.get(key) ?? Number.NaN);
    row = { healthy: parameter(values, keys.healthy), median, logMedian: median.map(Math.log) };
    rows.set(reading, row);
  }
  return row;
}
