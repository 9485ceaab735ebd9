import type { Instant } from "../core/records.ts";
import { HOUR_MS } from "../core/weather-series.ts";
import { bondUnits } from "../faults/bond-units.ts";
import { DEFAULT_GAP_MS, gridOutages, inverterEpisodes, powerLosses, unitEpisodes } from "../faults/episodes.ts";
import { type EventSpan, eventSpans } from "../faults/fault-spans.ts";
import { sunElevationDeg } from "../weather/sun-position.ts";
import { WEATHER_STATES, type WeatherState } from "../weather/weather-state.ts";
import { describeEpisodes } from "./describe-episodes.ts";
import { type CorrelateInput, type HourFrame, hourFrame } from "./hour-frame.ts";
import {
  cutUnknownEnds,
  EXCLUSIONS,
  type Exclusion,
  type Reporting,
  reportingHours,
  type UnitHours,
  unitHours,
} from "./hours-at-risk.ts";
import type { ByState, SiteCorrelation } from "./site-correlation.ts";
import { findWeather } from "./weather-finding.ts";

/** A year and more of hours that nobody logged would only cost time; this bounds what a wild timestamp can ask for. */
const LONGEST_HOURS = 30 * 366 * 24;

/**
 * Everything that the log and the weather of a site say together: episodes, hours at risk, rates wet and dry, driver.
 * Where something cannot be given it is null and said in `gaps`; nothing is ever NaN.
 * @shape O(hours x units + onsets x days)
 */
export function correlateSite(input: CorrelateInput): SiteCorrelation {
  const gapMs = input.gapMs ?? DEFAULT_GAP_MS;
  const past = pastRecords(input);
  const { records } = input;
  const units = bondUnits(records.inverters, records.sections);
  const { spans, counts } = eventSpans(past.faults, input.meanings);
  const perInverter = inverterEpisodes(spans, gapMs);
  const episodes = unitEpisodes(perInverter, units, input.where, powerLosses(spans));
  const window = logWindow(input, past);
  const excluded = Object.fromEntries(EXCLUSIONS.map((e) => [e, 0])) as Record<Exclusion, number>;
  const base = {
    units,
    byState: emptyByState(),
    exposureByMonth: [],
    excludedUnitHours: excluded,
    counts: { ...counts, episodes: episodes.length },
    window,
    overdispersion: 1,
  };
  if (!window)
    return {
      ...base,
      episodes: describeEpisodes(episodes, null, input),
      ...unknownFinding(records.inverters.length === 0 ? "no_inverters" : "no_log"),
    };
  const frame = hourFrame(window, input);
  const reporting = allReporting(input, past, perInverter, spans, frame, excluded);
  const ends = new Map(perInverter.map((e) => [`${e.inverterId}/${e.start}`, e.end]));
  const hours = units.map((unit) =>
    unitHours({
      unit,
      reporting: reporting.hours,
      lit: frame.lit,
      weatherKnown: frame.known,
      outage: frame.outage(
        gridOutages(
          spans,
          records.inverters.map((i) => i.inverterId),
        ),
      ),
      spans: episodes
        .filter((e) => e.unitId === unit.unitId)
        .map((e) => ({ onset: e.onset, end: e.end ?? ends.get(`${e.inverterIds[0]}/${e.onset}`) ?? e.onset })),
      gapMs,
      firstHour: frame.firstHour,
      excluded,
    }),
  );
  const described = describeEpisodes(episodes, { frame, hours }, input);
  const byState = countByState(hours, described, frame);
  const found = findWeather({
    frame,
    hours,
    episodes: described,
    longitude: input.where.longitude,
    hasWeather: input.weather !== null,
  });
  const dark = described.filter((e) => sunElevationDeg(e.onset, input.where) <= 0).length;
  return {
    ...base,
    counts: { ...base.counts, episodesAtRisk: described.filter((e) => e.atRisk).length, episodesInDark: dark },
    episodes: described,
    byState,
    exposureByMonth: countByMonth(hours, frame),
    weather: found.weather,
    overdispersion: found.overdispersion,
    gaps: [...found.gaps, ...reporting.gaps],
    notes: [...found.notes, ...reporting.notes, ...darkNote(dark, episodes.length), ...countNotes(counts)],
  };
}

function pastRecords({ records, asOf }: CorrelateInput) {
  return {
    faults: records.faults
      .filter((f) => f.startedAt <= asOf)
      // An end that lies after the instant is not known at the instant.
      .map((f) => (f.endedAt !== null && f.endedAt > asOf ? { ...f, endedAt: null } : f)),
    telemetry: records.telemetry
      .filter((t) => t.startedAt <= asOf)
      .map((t) => (t.endedAt > asOf ? { ...t, endedAt: asOf } : t)),
  };
}

/** First to last instant that could hold an hour at risk. */
function logWindow(input: CorrelateInput, past: ReturnType<typeof pastRecords>): { from: Instant; to: Instant } | null {
  const starts: Instant[] = [];
  const ends: Instant[] = [];
  const own = new Set(input.records.inverters.map((i) => i.inverterId));
  for (const t of past.telemetry) {
    starts.push(t.startedAt);
    ends.push(t.endedAt);
  }
  for (const [id, w] of input.logWindows) {
    if (!own.has(id) || w.from > input.asOf) continue;
    starts.push(w.from);
    ends.push(Math.min(w.to, input.asOf));
  }
  if (starts.length === 0) return null;
  const to = ends.reduce((a, b) => Math.max(a, b));
  const from = starts.reduce((a, b) => Math.min(a, b));
  return { from: Math.max(from, to - LONGEST_HOURS * HOUR_MS), to };
}

function allReporting(
  input: CorrelateInput,
  past: ReturnType<typeof pastRecords>,
  episodes: ReturnType<typeof inverterEpisodes>,
  spans: readonly EventSpan[],
  frame: HourFrame,
  excluded: Record<Exclusion, number>,
) {
  const hours = new Map<string, Reporting>();
  const assumed: string[] = [];
  for (const inverter of input.records.inverters) {
    const id = inverter.inverterId;
    const telemetry = past.telemetry.filter((t) => t.inverterId === id);
    const own = reportingHours(inverter, telemetry, input.logWindows.get(id), frame.firstHour, frame.hours);
    if (own.assumed) assumed.push(id);
    const signs = [
      ...spans.filter((s) => s.inverterId === id).map((s) => s.start),
      ...telemetry.filter((t) => t.state === "running" || t.state === "reporting").map((t) => t.startedAt),
    ].sort((a, b) => a - b);
    excluded.end_unknown += cutUnknownEnds(
      own.hours,
      episodes.filter((e) => e.inverterId === id),
      signs,
      frame.firstHour,
    );
    hours.set(id, own.hours);
  }
  const gaps =
    assumed.length > 0
      ? [{ what: "telemetry", says: `No telemetry of ${list(assumed)}: taken to report over the span of its log.` }]
      : [];
  return { hours, gaps, notes: [] as string[] };
}

function list(ids: readonly string[]): string {
  return ids.length <= 4 ? `inverter ${ids.join(", ")}` : `${ids.length} inverters`;
}

function emptyByState(): ByState {
  return Object.fromEntries(WEATHER_STATES.map((s) => [s, { unitHours: 0, episodes: 0 }])) as ByState;
}

function countByState(hours: readonly UnitHours[], episodes: SiteCorrelation["episodes"], frame: HourFrame): ByState {
  const out = emptyByState();
  for (const unit of hours) {
    for (let i = 0; i < frame.hours; i++) {
      if (unit.atRisk[i]) out[WEATHER_STATES[frame.state[i] as number] ?? "unknown"].unitHours++;
    }
  }
  for (const e of episodes) if (e.atRisk) out[e.state].episodes++;
  return out;
}

function countByMonth(hours: readonly UnitHours[], frame: HourFrame): SiteCorrelation["exposureByMonth"] {
  const months = new Map<string, SiteCorrelation["exposureByMonth"][number]>();
  for (let i = 0; i < frame.hours; i++) {
    const atRisk = hours.reduce((sum, unit) => sum + (unit.atRisk[i] as number), 0);
    if (atRisk === 0) continue;
    const inside = new Date((frame.firstHour + i) * HOUR_MS - 1);
    const [year, month] = [inside.getUTCFullYear(), inside.getUTCMonth()];
    const key = `${year}-${month}`;
    let entry = months.get(key);
    if (!entry) {
      const unitHours = Object.fromEntries(WEATHER_STATES.map((s) => [s, 0])) as Record<WeatherState, number>;
      entry = { from: Date.UTC(year, month, 1), to: Date.UTC(year, month + 1, 1), unitHours };
      months.set(key, entry);
    }
    entry.unitHours[WEATHER_STATES[frame.state[i] as number] ?? "unknown"] += atRisk;
  }
  return [...months.values()];
}

function unknownFinding(why: "no_inverters" | "no_log"): Pick<SiteCorrelation, "weather" | "gaps" | "notes"> {
  const says =
    why === "no_inverters"
      ? "No inverter is recorded, so no log can be read."
      : "No fault log or telemetry of this site or its log source.";
  return {
    weather: {
      driver: "not_enough_data",
      rateRatio: null,
      low: null,
      high: null,
      pValue: null,
      qValue: null,
      wetHours: 0,
      wetEpisodes: 0,
      dryHours: 0,
      dryEpisodes: 0,
      clockOffsetHours: null,
    },
    gaps: [{ what: "fault_log", says }],
    notes: [],
  };
}

function darkNote(dark: number, all: number): string[] {
  if (dark === 0) return [];
  return [
    `${dark} of ${all} ground-fault episodes began in the dark, when an array cannot drive a fault: check the clock of the log.`,
  ];
}

function countNotes(counts: { unknownCodes: number; missingEnds: number; duplicates: number }): string[] {
  const notes: string[] = [];
  if (counts.unknownCodes > 0)
    notes.push(`${counts.unknownCodes} fault rows have a code that is not in their vocabulary; they count as OTHER.`);
  if (counts.missingEnds > 0)
    notes.push(
      `${counts.missingEnds} ground-fault rows have no end; the inverter counts as out until it showed life again.`,
    );
  return notes;
}
