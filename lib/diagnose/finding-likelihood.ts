import { CAUSES, type SiteRecords } from "../core/records.ts";
import { CONFIGURATIONS, EVERY_CONFIGURATION, MEMBERS } from "./configurations.ts";
import { type Finding, findingWeights } from "./findings.ts";
import { type ParameterValues, parameter } from "./parameters.ts";

const CAUSE_COUNT = CAUSES.length;

/** A finding with its weights and the place index it speaks of (-1: the whole site). */
export interface WeighedFinding {
  finding: Finding;
  weights: Float64Array;
  place: number;
}

/**
 * Places where a cause can sit: the sections of a site, or its inverters where no section is recorded.
 * A finding at an inverter speaks of the first of that inverter's sections, as the nearest place there is.
 */
export function placesOf(records: SiteRecords): { count: number; placeOf: (f: Finding) => number } {
  const { sections, inverters } = records;
  if (sections.length > 0) {
    const index = new Map(sections.map((s, i) => [s.sectionId, i]));
    const ofInverter = new Map<string, number>();
    sections.forEach((s, i) => {
      if (!ofInverter.has(s.inverterId)) ofInverter.set(s.inverterId, i);
    });
    const placeOf = (f: Finding) =>
      f.sectionId !== null
        ? (index.get(f.sectionId) ?? -1)
        : f.inverterId !== null
          ? (ofInverter.get(f.inverterId) ?? -1)
          : -1;
    return { count: sections.length, placeOf };
  }
  const index = new Map(inverters.map((v, i) => [v.inverterId, i]));
  return {
    count: Math.max(1, inverters.length),
    placeOf: (f) => (f.inverterId === null ? -1 : (index.get(f.inverterId) ?? -1)),
  };
}

/**
 * Log-likelihood of all findings under each configuration, against the site with nothing wrong. The causes present sit
 * at one place, which is not known: it is averaged over, so a clean reading at one of six sections says little and a
 * bad one anywhere says much. Of several causes the one that explains a bad finding best explains it; a clean finding
 * speaks against each.
 */
export function findingLikelihood(
  items: readonly WeighedFinding[],
  places: number,
  only: Int32Array = EVERY_CONFIGURATION,
): Float64Array {
  const out = new Float64Array(CONFIGURATIONS.length);
  if (items.length === 0) return out;
  const { clean, bad } = apart(items, places);
  const here = new Float64Array(places + 1);
  for (let j = 0; j < only.length; j++) {
    const k = only[j] as number;
    const members = MEMBERS[k] as readonly number[];
    if (members.length === 0) continue;
    for (let p = 0; p <= places; p++) {
      let sum = 0;
      for (let m = 0; m < members.length; m++) sum += clean[p * CAUSE_COUNT + (members[m] as number)] as number;
      here[p] = sum;
    }
    for (let i = 0; i < bad.length; i++) {
      const { weights, place } = bad[i] as WeighedFinding;
      const at = place < 0 ? places : place;
      here[at] = (here[at] as number) + combined(weights, members);
    }
    out[k] = (here[places] as number) + logMean(here, places);
  }
  return out;
}

/**
 * Findings that speak for no cause add up cause by cause, whatever the configuration; the others are kept one by one.
 * Rows of `clean` are places, the last the whole site.
 */
function apart(items: readonly WeighedFinding[], places: number): { clean: Float64Array; bad: WeighedFinding[] } {
  const clean = new Float64Array((places + 1) * CAUSE_COUNT);
  const bad: WeighedFinding[] = [];
  for (const item of items) {
    if (item.weights.some((w) => w > 0)) {
      bad.push(item);
      continue;
    }
    const row = (item.place < 0 ? places : item.place) * CAUSE_COUNT;
    for (let c = 0; c < CAUSE_COUNT; c++) clean[row + c] = (clean[row + c] as number) + (item.weights[c] as number);
  }
  return { clean, bad };
}

/** ln of the mean of e^x over the first n. */
function logMean(xs: Float64Array, n: number): number {
  if (n === 1) return xs[0] as number;
  let top = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < n; i++) if ((xs[i] as number) > top) top = xs[i] as number;
  let sum = 0;
  for (let i = 0; i < n; i++) sum += Math.exp((xs[i] as number) - top);
  return top + Math.log(sum / n);
}

function combined(weights: Float64Array, members: readonly number[]): number {
  let best = 0;
  let against = 0;
  for (let m = 0; m < members.length; m++) {
    const w = weights[members[m] as number] as number;
    if (w > best) best = w;
    else if (w < 0) against += w;
  }
  return best > 0 ? best : against;
}

/** A finding before its weight: where it speaks of, what repairs made it say nothing of, how often it was done again. */
export interface PlacedFinding {
  finding: Finding;
  place: number;
  /** Causes, by place in CAUSES, that a later repair is confirmed to have removed there. */
  mended: readonly number[];
  /** Later findings of the same kind at the same place: each makes this one weigh less. */
  repeatedAfter: number;
}

/** Everything about a site's findings that does not depend on the parameters. */
export function placedFindings(findings: readonly Finding[], records: SiteRecords, asOf: number): PlacedFinding[] {
  const { placeOf } = placesOf(records);
  const seen = new Map<string, number>();
  return findings
    .toReversed()
    .map((finding) => {
      const place = placeOf(finding);
      const key = `${finding.source}/${finding.group}/${place}`;
      const repeatedAfter = seen.get(key) ?? 0;
      seen.set(key, repeatedAfter + 1);
      return { finding, place, mended: mendedSince(finding, records, asOf), repeatedAfter };
    })
    .reverse();
}

/**
 * Causes that a later repair is confirmed to have removed where a finding was made: it spoke of what was then mended. A
 * repair that names a section mends nothing found at another.
 */
function mendedSince(finding: Finding, records: SiteRecords, asOf: number): number[] {
  return records.repairs.flatMap((r) => {
    if (r.cause === "none_found" || r.repairedAt.at > asOf || r.repairedAt.at < finding.at) return [];
    const elsewhere = r.sectionId !== null && finding.sectionId !== null && r.sectionId !== finding.sectionId;
    return r.confirmed !== "yes" || elsewhere ? [] : [CAUSES.indexOf(r.cause)];
  });
}

/** Weights of checks by table: what a check says depends on nothing else, and every site has the same ones. */
const ofTables = new WeakMap<ParameterValues, Map<string, Float64Array>>();

function weightsOf(finding: Finding, values: ParameterValues): Float64Array {
  const { weigh } = finding;
  if (weigh.kind !== "check") return findingWeights(finding, values);
  let ofChecks = ofTables.get(values);
  if (!ofChecks) {
    ofChecks = new Map();
    ofTables.set(values, ofChecks);
  }
  const key = `${weigh.check} ${weigh.fails} ${weigh.inspector ?? ""}`;
  let weights = ofChecks.get(key);
  if (!weights) {
    weights = findingWeights(finding, values);
    ofChecks.set(key, weights);
  }
  return weights;
}

/**
 * Weights under one table. The same check at the same place done again is no independent witness: the newest counts in
 * full, each earlier one by a factor less.
 */
export function weighFindings(placed: readonly PlacedFinding[], values: ParameterValues): WeighedFinding[] {
  const factor = parameter(values, "repeat.weight");
  return placed.map(({ finding, place, mended, repeatedAfter }) => {
    let weights = weightsOf(finding, values);
    if (mended.length > 0 || repeatedAfter > 0) {
      const share = factor ** repeatedAfter;
      weights = weights.map((w) => w * share);
      for (const c of mended) weights[c] = 0;
    }
    return { finding, weights, place };
  });
}
