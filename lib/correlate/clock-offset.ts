import type { LatLon } from "../core/earth.ts";
import type { Instant } from "../core/records.ts";
import { logSumExp } from "../core/statistics.ts";
import { HOUR_MS } from "../core/weather-series.ts";
import { standardOffsetMs, zoneOffsetMs } from "../core/zoned-time.ts";
import { ENERGIZED_ELEVATION_DEG } from "../weather/solar-time.ts";
import { sunElevationsOver } from "../weather/sun-position.ts";
import type { Residuals } from "./strata.ts";

/** Offsets tried, hours: log time minus true time. */
export const MOST_CLOCK_HOURS = 12;
/** Summer-time mistakes tried: hours by which the log runs ahead in summer only, beyond the offset. */
const SUMMER_HOURS = [0, 1, -1] as const;

export interface ClockReading {
  offsetHours: number;
  summerHours: number;
}

/** Every way in which a clock is read, in the order of all arrays here. */
export const CLOCK_READINGS: readonly ClockReading[] = SUMMER_HOURS.flatMap((summerHours) =>
  Array.from({ length: 2 * MOST_CLOCK_HOURS + 1 }, (_, k) => ({ offsetHours: k - MOST_CLOCK_HOURS, summerHours })),
);
const AS_LOGGED = CLOCK_READINGS.findIndex((r) => r.offsetHours === 0 && r.summerHours === 0);

/** How often onsets come in the dark against by day; assumed. */
const IN_THE_DARK = 0.02;
/**
 * How often they come while the sun is up but still low, against by day. Most inverters sleep then; one whose insulation
 * check trips as it wakes has all of its onsets there. Each is as likely; assumed.
 */
const IN_TWILIGHT = [0.2, 1, 5, 25] as const;
/** Hours of a mean day with the sun high, low and down. */
const HOURS_OF_DAY = { high: 11.6, low: 0.4, down: 12 };
/** Before any onset: a right clock, a plain offset (all together), summer time missed or doubled (each); assumed. */
const PRIOR_RIGHT = 0.9;
const PRIOR_OFFSET = 0.06;
const PRIOR_SUMMER = 0.015;
/** Log rate ratios in the wet that a site may have; the first is none, and has half the weight. */
const LOG_RATIOS = [0, 0.7, 1.1, 1.6, 2.1, 2.7] as const;
/** How sure a wrong clock must be to be proposed, and from how many onsets. */
export const SURE_OF_CLOCK = 0.95;
const FEWEST_ONSETS = 8;
/** Readings that the sun alone leaves this likely against its best are ones that wetness had to choose between. */
const LEFT_BY_SUN = Math.log(0.01);

/** One site of a log source. */
export interface ClockSite {
  /** Log times of its ground-fault onsets. */
  onsets: readonly Instant[];
  where: LatLon;
  timeZone: string;
  /** Residuals of wet hours over the lit hours of the window; index i ends at `(firstHour + i)` hours. */
  wet: Residuals;
  firstHour: number;
  overdispersion: number;
}

/** What one site says of its log's clock. Log likelihoods add over the sites of a source. */
export interface ClockEvidence {
  onsets: number;
  /** By CLOCK_READINGS: log likelihood of where the onsets fall against sun and water together. */
  log: number[];
  /** The part of it that the sun gives. */
  sun: number[];
  /** Onsets in the dark under each reading. */
  dark: number[];
}

/**
 * How well each reading of the clock puts a site's onsets into daylight, and into the wet if water drives them.
 * @returns null without onsets
 * @shape O(27 x onsets) sun positions
 */
export function clockEvidence(site: ClockSite): ClockEvidence | null {
  const { onsets, firstHour } = site;
  if (onsets.length === 0) return null;
  const elevation = new Float64Array(onsets.length * SHIFTS);
  const hour = new Int32Array(onsets.length * SHIFTS);
  const isSummer = onsets.map(
    (logged) => zoneOffsetMs(site.timeZone, logged) > standardOffsetMs(site.timeZone, logged),
  );
  for (let n = 0; n < onsets.length; n++) {
    const latest = (onsets[n] as number) + (MOST_CLOCK_HOURS + 1) * HOUR_MS;
    sunElevationsOver(latest, -HOUR_MS, SHIFTS, site.where, elevation, n * SHIFTS);
    const last = Math.ceil(latest / HOUR_MS) - firstHour;
    for (let k = 0; k < SHIFTS; k++) hour[n * SHIFTS + k] = last - k;
  }
  const wetness = new WetLogs(site.wet, hour);
  const out: ClockEvidence = { onsets: onsets.length, log: [], sun: [], dark: [] };
  const lit = new Int32Array(onsets.length);
  for (const { offsetHours, summerHours } of CLOCK_READINGS) {
    let count = 0;
    let low = 0;
    for (let n = 0; n < onsets.length; n++) {
      const ahead = offsetHours + (isSummer[n] ? summerHours : 0);
      const at = n * SHIFTS + ahead + MOST_CLOCK_HOURS + 1;
      const sunDeg = elevation[at] as number;
      if (sunDeg > 0) lit[count++] = at;
      if (sunDeg > 0 && sunDeg <= ENERGIZED_ELEVATION_DEG) low++;
    }
    const dark = onsets.length - count;
    const sun = sunLog({ low, dark, onsets: onsets.length }, site.overdispersion);
    out.sun.push(sun);
    out.dark.push(dark);
    out.log.push(sun + wetness.of(lit.subarray(0, count), site.overdispersion));
  }
  return out;
}

/** Hours that an onset may have to be moved by: the offsets tried, and one of summer time to either side. */
const SHIFTS = 2 * MOST_CLOCK_HOURS + 3;

/** Log likelihood of how many onsets have the sun low and down, averaged over how the site's inverters wake. */
function sunLog({ low, dark, onsets }: { low: number; dark: number; onsets: number }, overdispersion: number): number {
  return logSumExp(
    IN_TWILIGHT.map((rate) => {
      const hours = HOURS_OF_DAY.high + rate * HOURS_OF_DAY.low + IN_THE_DARK * HOURS_OF_DAY.down;
      const log = low * Math.log(rate) + dark * Math.log(IN_THE_DARK) - onsets * Math.log(hours / 24);
      return log / overdispersion - Math.log(IN_TWILIGHT.length);
    }),
  );
}

/** How likely it is that moved onsets met the wet and dry hours that they did. */
class WetLogs {
  /** Log likelihood by place and ratio, worked out when first asked for: readings of a clock share most of them. */
  readonly #log: Float64Array;

  /** @param hour place in the residuals of each onset under each shift */
  constructor(
    readonly wet: Residuals,
    readonly hour: Int32Array,
  ) {
    this.#log = new Float64Array(hour.length * LOG_RATIOS.length).fill(Number.NaN);
  }

  /** Log likelihood of the hours at some places being wet or dry as they were, averaged over what water may do at the site. */
  of(places: Int32Array, overdispersion: number): number {
    return logSumExp(
      LOG_RATIOS.map((_, k) => {
        let sum = 0;
        for (let n = 0; n < places.length; n++) sum += this.#at(places[n] as number, k);
        const weight = k === 0 ? 0.5 : 0.5 / (LOG_RATIOS.length - 1);
        return Math.log(weight) + sum / overdispersion;
      }),
    );
  }

  #at(place: number, k: number): number {
    const cell = place * LOG_RATIOS.length + k;
    const before = this.#log[cell] as number;
    if (!Number.isNaN(before)) return before;
    const i = this.hour[place] as number;
    const p = this.wet.share[i] ?? 0;
    const g = LOG_RATIOS[k] as number;
    const log = p > 0 && p < 1 ? ((this.wet.residual[i] as number) > 0 ? g : 0) - Math.log1p(p * Math.expm1(g)) : 0;
    this.#log[cell] = log;
    return log;
  }
}

export interface ClockOffset extends ClockReading {
  /** Posterior probability of this reading (of its offset, where no summer mistake is named), and of a right clock. */
  probability: number;
  right: number;
  /** Posterior by offset, for a picture, summed over summer mistakes. */
  byOffset: { offsetHours: number; probability: number }[];
  onsets: number;
  /** Onsets in the dark as logged, and under the most likely reading. */
  darkAsLogged: number;
  darkAsRead: number;
  /** Hours beside the most likely offset that the sun alone leaves open: a test on corrected times must try them all. */
  scanHours: number[];
  /** The reading when it is worth proposing to a person; null: the clock is taken as right, or too little is known. */
  proposal: ClockReading | null;
}

/**
 * What the onsets of one log source say of its clock: arrays do not fault in the dark, and where water drives faults
 * they come when it is wet. Both are set against every whole offset within half a day, and against a clock that
 * misses or doubles summer time. The result is a proposal; nothing here moves a time.
 *
 * @param sites evidence of all sites whose logs share the clock
 * @returns null when there are no onsets
 */
export function clockOffset(sites: readonly ClockEvidence[]): ClockOffset | null {
  const total = (pick: (e: ClockEvidence) => number | undefined) => sites.reduce((sum, e) => sum + (pick(e) ?? 0), 0);
  const onsets = total((e) => e.onsets);
  if (onsets === 0) return null;
  const log = CLOCK_READINGS.map((r, k) => logPrior(r) + total((e) => e.log[k]));
  const norm = logSumExp(log);
  const share = log.map((x) => Math.exp(x - norm));
  const byOffset = Array.from({ length: 2 * MOST_CLOCK_HOURS + 1 }, (_, k) => ({
    offsetHours: k - MOST_CLOCK_HOURS,
    probability: CLOCK_READINGS.reduce(
      (sum, r, i) => (r.offsetHours === k - MOST_CLOCK_HOURS ? sum + (share[i] as number) : sum),
      0,
    ),
  }));
  const { best, probability } = mostLikely(share, byOffset);
  const reading = CLOCK_READINGS[best] as ClockReading;
  const right = share[AS_LOGGED] as number;
  const isSure = best !== AS_LOGGED && onsets >= FEWEST_ONSETS && probability >= SURE_OF_CLOCK;
  return {
    ...reading,
    probability,
    right,
    byOffset,
    onsets,
    darkAsLogged: total((e) => e.dark[AS_LOGGED]),
    darkAsRead: total((e) => e.dark[best]),
    scanHours: openToSun(
      reading,
      CLOCK_READINGS.map((_, k) => total((e) => e.sun[k])),
    ),
    proposal: isSure ? { ...reading } : null,
  };
}

/**
 * The most likely offset, with a summer mistake only when that is sure as well: whether a clock that is five hours off
 * also misses summer time takes many more onsets to tell than that it is five hours off.
 */
function mostLikely(
  share: readonly number[],
  byOffset: ClockOffset["byOffset"],
): { best: number; probability: number } {
  const { offsetHours, probability } = byOffset.reduce((a, b) => (b.probability > a.probability ? b : a));
  const own = CLOCK_READINGS.flatMap((r, k) => (r.offsetHours === offsetHours ? [k] : []));
  const best = own.reduce((a, b) => ((share[b] as number) > (share[a] as number) ? b : a));
  const plain = own.find((k) => CLOCK_READINGS[k]?.summerHours === 0) as number;
  const joint = share[best] as number;
  if (best === plain) return offsetHours === 0 ? { best, probability: joint } : { best, probability };
  if (offsetHours === 0 || joint >= SURE_OF_CLOCK * probability) return { best, probability: joint };
  return { best: plain, probability };
}

/** Offsets, as hours from the reading's own, that the sun alone does not rule out. Always holds 0. */
function openToSun(reading: ClockReading, sun: readonly number[]): number[] {
  const most = Math.max(...sun);
  const open = new Set([0]);
  CLOCK_READINGS.forEach((r, k) => {
    if (r.summerHours === reading.summerHours && (sun[k] as number) - most >= LEFT_BY_SUN)
      open.add(r.offsetHours - reading.offsetHours);
  });
  return [...open].sort((a, b) => a - b);
}

function logPrior({ offsetHours, summerHours }: ClockReading): number {
  if (summerHours === 0) return Math.log(offsetHours === 0 ? PRIOR_RIGHT : PRIOR_OFFSET / (2 * MOST_CLOCK_HOURS));
  if (offsetHours === 0) return Math.log(PRIOR_SUMMER);
  return Math.log((1 - PRIOR_RIGHT - PRIOR_OFFSET - 2 * PRIOR_SUMMER) / (4 * MOST_CLOCK_HOURS));
}

/** Hours that a log with this reading runs ahead of the truth at a logged instant. */
export function clockAheadHours(reading: ClockReading, logged: Instant, timeZone: string): number {
  if (reading.summerHours === 0) return reading.offsetHours;
  const isSummer = zoneOffsetMs(timeZone, logged) > standardOffsetMs(timeZone, logged);
  return reading.offsetHours + (isSummer ? reading.summerHours : 0);
}
