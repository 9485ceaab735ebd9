import { CAUSES, type Instant, type Repair, type SiteRecords } from "../core/records.ts";
import type { SiteCorrelation } from "../correlate/site-correlation.ts";
import { RATE_STATES, type RateState } from "./parameters.ts";

/** Counts of one phase between repairs. */
export interface EventPhase {
  /** Unit-hours at risk and onsets by state, in the order of RATE_STATES. */
  unitHours: Float64Array;
  onsets: Float64Array;
  signature: Signature;
  /** Repairs made after this phase: what they removed was there in it. */
  removedLater: Repair[];
}

/** Ways in which episodes ended, who tripped, when. */
export interface Signature {
  cleared: number;
  clearable: number;
  several: number;
  severable: number;
  late: number;
  afterRain: number;
  atDawn: number;
  dawnable: number;
}

export interface EventSummary {
  phases: EventPhase[];
  units: number;
  /** Of the whole log, for the sentences. */
  signature: Signature;
  /** Ground-fault episodes in the last twelve months, at risk or not. */
  recentEpisodes: number;
}

const YEAR_MS = 365.25 * 86_400_000;
/** Repairs beyond the newest ones are too old to tell phases apart. */
const MOST_REPAIRS = 3;
/** Overlapping onsets within this are one event seen by several inverters. */
const TOGETHER_MS = 30 * 60_000;

const stateIndex = (state: string): number => {
  const i = RATE_STATES.indexOf(state as RateState);
  if (i >= 0) return i;
  return state === "wind" ? 0 : -1; // wind by itself drives no leak; snow and unknown are not compared
};

/** Repairs up to the instant that name a cause, oldest first. */
export function causeRepairs(records: SiteRecords, asOf: Instant): Repair[] {
  return records.repairs
    .filter((r) => r.repairedAt.at <= asOf && r.cause !== "none_found")
    .sort(
      (a, b) =>
        a.repairedAt.at - b.repairedAt.at || CAUSES.indexOf(a.cause as never) - CAUSES.indexOf(b.cause as never),
    );
}

/** What the events of a site come down to for the likelihood. */
export function eventSummary(records: SiteRecords, correlation: SiteCorrelation, asOf: Instant): EventSummary {
  const repairs = causeRepairs(records, asOf).slice(-MOST_REPAIRS);
  const cuts = [...new Set(repairs.map((r) => r.repairedAt.at))];
  const edges = [Number.NEGATIVE_INFINITY, ...cuts, Number.POSITIVE_INFINITY];
  const phases: EventPhase[] = [];
  for (let i = 0; i + 1 < edges.length; i++) {
    const from = edges[i] as number;
    const to = edges[i + 1] as number;
    phases.push({
      unitHours: exposure(correlation, from, to),
      onsets: onsetsIn(correlation, from, to),
      signature: signatureOf(records, correlation, from, to),
      removedLater: repairs.filter((r) => r.repairedAt.at >= to),
    });
  }
  return {
    phases,
    units: Math.max(1, correlation.units.length),
    signature: signatureOf(records, correlation, Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY),
    recentEpisodes: correlation.episodes.filter((e) => e.onset > asOf - YEAR_MS).length,
  };
}

function onsetsIn(correlation: SiteCorrelation, from: Instant, to: Instant): Float64Array {
  const out = new Float64Array(RATE_STATES.length);
  for (const e of correlation.episodes) {
    const i = stateIndex(e.state);
    if (e.atRisk && i >= 0 && e.onset >= from && e.onset < to) out[i] = (out[i] as number) + 1;
  }
  return out;
}

/** Hours at risk in a span, from the monthly sums; a month cut by a repair is shared out by time. */
function exposure(correlation: SiteCorrelation, from: Instant, to: Instant): Float64Array {
  const out = new Float64Array(RATE_STATES.length);
  for (const month of correlation.exposureByMonth) {
    const overlap = Math.max(0, Math.min(to, month.to) - Math.max(from, month.from));
    const share = overlap / (month.to - month.from);
    if (!(share > 0)) continue;
    for (const [state, hours] of Object.entries(month.unitHours)) {
      const i = stateIndex(state);
      if (i >= 0) out[i] = (out[i] as number) + hours * share;
    }
  }
  return out;
}

function signatureOf(records: SiteRecords, correlation: SiteCorrelation, from: Instant, to: Instant): Signature {
  const episodes = correlation.episodes.filter((e) => e.onset >= from && e.onset < to);
  const endings = episodes.filter((e) => e.clearedOnDrying !== null);
  // A check made only at start trips at dawn whatever the cause, and says nothing of when the water came.
  const atStart = new Set(records.inverters.flatMap((i) => (i.detector === "insulation_check" ? [i.inverterId] : [])));
  const anyTime = (e: SiteCorrelation["episodes"][number]) => e.inverterIds.some((id) => !atStart.has(id));
  const afterRain = episodes.filter((e) => e.hoursSinceRain !== null && e.hoursSinceRain <= 8 && anyTime(e));
  const dawnable = episodes.filter(anyTime);
  const severable = records.inverters.length > 1 ? episodes : [];
  return {
    cleared: endings.filter((e) => e.clearedOnDrying).length,
    clearable: endings.length,
    several: severable.filter((e) => e.inverterIds.length > 1 || tripsWithAnother(e, episodes)).length,
    severable: severable.length,
    late: afterRain.filter((e) => (e.hoursSinceRain as number) >= 2).length,
    afterRain: afterRain.length,
    atDawn: dawnable.filter((e) => e.atDawn).length,
    dawnable: dawnable.length,
  };
}

function tripsWithAnother(e: SiteCorrelation["episodes"][number], all: SiteCorrelation["episodes"]): boolean {
  return all.some((o) => o.unitId !== e.unitId && Math.abs(o.onset - e.onset) <= TOGETHER_MS);
}
