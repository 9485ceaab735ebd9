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
 * @param out room for the answer, which is returned
 */
export function findingLikelihood(
  items: readonly WeighedFinding[],
  places: number,
  only: Int32Array = EVERY_CONFIGURATION,
  out: Float64Array = new Float64Array(CONFIGURATIONS.length),
): Float64Array {
  out.fill(0);
  if (items.length === 0) return out;
  GATHERED.begin(places);
  for (const { weights, place } of items) GATHERED.add(weights, place);
  return GATHERED.likelihood(only, out);
}

/** The same from findings before their weights, under one table. */
export function placedLikelihood(
  placed: readonly PlacedFinding[],
  values: ParameterValues,
  places: number,
  only: Int32Array,
  out: Float64Array,
): Float64Array {
  out.fill(0);
  if (placed.length === 0) return out;
  const factor = parameter(values, "repeat.weight");
  GATHERED.begin(places);
  for (const item of placed) GATHERED.add(weightsUnder(item, values, factor, SHARED_WEIGHTS), item.place);
  return GATHERED.likelihood(only, out);
}

/**
 * Findings that speak for no cause add up cause by cause, whatever the configuration; the others are kept one by one.
 * One of these serves every draw of every site, so that nothing is made anew.
 */
class GatheredFindings {
  #places = 0;
  /** Rows are places, the last the whole site. */
  #clean = new Float64Array(8 * CAUSE_COUNT);
  #bad = new Float64Array(8 * CAUSE_COUNT);
  #badAt = new Int32Array(8);
  #bads = 0;
  #here = new Float64Array(8);

  begin(places: number): void {
    this.#places = places;
    const size = (places + 1) * CAUSE_COUNT;
    if (this.#clean.length < size) {
      this.#clean = new Float64Array(size);
      this.#here = new Float64Array(places + 1);
    }
    this.#clean.fill(0, 0, size);
    this.#bads = 0;
  }

  /** @param place -1: the whole site */
  add(weights: Float64Array, place: number): void {
    const at = place < 0 ? this.#places : place;
    let isBad = false;
    for (let c = 0; c < CAUSE_COUNT; c++) if ((weights[c] as number) > 0) isBad = true;
    if (!isBad) {
      const row = at * CAUSE_COUNT;
      for (let c = 0; c < CAUSE_COUNT; c++)
        this.#clean[row + c] = (this.#clean[row + c] as number) + (weights[c] as number);
      return;
    }
    if (this.#bads === this.#badAt.length) {
      const [bad, badAt] = [this.#bad, this.#badAt];
      this.#bad = new Float64Array(2 * bad.length);
      this.#badAt = new Int32Array(2 * badAt.length);
      this.#bad.set(bad);
      this.#badAt.set(badAt);
    }
    this.#bad.set(weights, this.#bads * CAUSE_COUNT);
    this.#badAt[this.#bads++] = at;
  }

  likelihood(only: Int32Array, out: Float64Array): Float64Array {
    const places = this.#places;
    const here = this.#here;
    const clean = this.#clean;
    for (let j = 0; j < only.length; j++) {
      const k = only[j] as number;
      const members = MEMBERS[k] as readonly number[];
      if (members.length === 0) continue;
      for (let p = 0; p <= places; p++) {
        let sum = 0;
        for (let m = 0; m < members.length; m++) sum += clean[p * CAUSE_COUNT + (members[m] as number)] as number;
        here[p] = sum;
      }
      for (let i = 0; i < this.#bads; i++) {
        const at = this.#badAt[i] as number;
        here[at] = (here[at] as number) + this.#combined(i * CAUSE_COUNT, members);
      }
      out[k] = (here[places] as number) + logMean(here, places);
    }
    return out;
  }

  #combined(from: number, members: readonly number[]): number {
    let best = 0;
    let against = 0;
    for (let m = 0; m < members.length; m++) {
      const w = this.#bad[from + (members[m] as number)] as number;
      if (w > best) best = w;
      else if (w < 0) against += w;
    }
    return best > 0 ? best : against;
  }
}

const GATHERED = new GatheredFindings();
const SHARED_WEIGHTS = new Float64Array(CAUSE_COUNT);

/** ln of the mean of e^x over the first n. */
function logMean(xs: Float64Array, n: number): number {
  if (n === 1) return xs[0] as number;
  let top = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < n; i++) if ((xs[i] as number) > top) top = xs[i] as number;
  let sum = 0;
  let [last, power] = [top, 1];
  for (let i = 0; i < n; i++) {
    // Places at which nothing was found are alike.
    if (xs[i] !== last) {
      last = xs[i] as number;
      power = Math.exp(last - top);
    }
    sum += power;
  }
  return top + Math.log(sum / n);
}

/** A finding before its weight: where it speaks of, what repairs made it say nothing of, how often it was done again. */
export interface PlacedFinding {
  finding: Finding;
  place: number;
  /** Causes, by place in CAUSES, that a later repair is confirmed to have removed there. */
  mended: readonly number[];
  /** Later findings of the same kind at the same place: each makes this one weigh less. */
  repeatedAfter: number;
  /** Kind and place together. */
  kind: string;
  /** Of a check or a size: what its weight hangs on under one table; null: a reading. */
  check: string | null;
}

/** Everything about a site's findings that does not depend on the parameters. */
export function placedFindings(findings: readonly Finding[], records: SiteRecords, asOf: number): PlacedFinding[] {
  const { placeOf } = placesOf(records);
  const seen = new Map<string, number>();
  return findings
    .toReversed()
    .map((finding) => {
      const placed = placedFinding(finding, placeOf(finding), records, asOf);
      const repeatedAfter = seen.get(placed.kind) ?? 0;
      seen.set(placed.kind, repeatedAfter + 1);
      return { ...placed, repeatedAfter };
    })
    .reverse();
}

function placedFinding(finding: Finding, place: number, records: SiteRecords, asOf: number): PlacedFinding {
  const { weigh } = finding;
  return {
    finding,
    place,
    mended: mendedSince(finding, records, asOf),
    repeatedAfter: 0,
    kind: `${finding.source}/${finding.group}/${place}`,
    check: tableKey(weigh),
  };
}

function tableKey(weigh: Finding["weigh"]): string | null {
  if (weigh.kind === "size") return `size ${weigh.undersized}`;
  return weigh.kind === "check" ? `${weigh.check} ${weigh.fails} ${weigh.inspector ?? ""}` : null;
}

/** The same with one more finding, made now: those of its kind at its place become older ones. */
export function withNewest(
  placed: readonly PlacedFinding[],
  finding: Finding,
  records: SiteRecords,
  asOf: number,
): PlacedFinding[] {
  const newest = placedFinding(finding, placesOf(records).placeOf(finding), records, asOf);
  return [...placed.map((p) => (p.kind === newest.kind ? { ...p, repeatedAfter: p.repeatedAfter + 1 } : p)), newest];
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

function weightsOf({ finding, check }: PlacedFinding, values: ParameterValues): Float64Array {
  if (check === null) return findingWeights(finding, values);
  let ofChecks = ofTables.get(values);
  if (!ofChecks) {
    ofChecks = new Map();
    ofTables.set(values, ofChecks);
  }
  let weights = ofChecks.get(check);
  if (!weights) {
    weights = findingWeights(finding, values);
    ofChecks.set(check, weights);
  }
  return weights;
}

/** @param room taken for the answer where the plain weights do not hold */
function weightsUnder(
  placed: PlacedFinding,
  values: ParameterValues,
  factor: number,
  room: Float64Array,
): Float64Array {
  const { mended, repeatedAfter } = placed;
  const weights = weightsOf(placed, values);
  if (mended.length === 0 && repeatedAfter === 0) return weights;
  const share = factor ** repeatedAfter;
  for (let c = 0; c < CAUSE_COUNT; c++) room[c] = (weights[c] as number) * share;
  for (const c of mended) room[c] = 0;
  return room;
}

/**
 * Weights under one table. The same check at the same place done again is no independent witness: the newest counts in
 * full, each earlier one by a factor less.
 */
export function weighFindings(placed: readonly PlacedFinding[], values: ParameterValues): WeighedFinding[] {
  const factor = parameter(values, "repeat.weight");
  return placed.map((item) => ({
    finding: item.finding,
    weights: weightsUnder(item, values, factor, new Float64Array(CAUSE_COUNT)),
    place: item.place,
  }));
}
