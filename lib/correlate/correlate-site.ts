import type { Instant } from "../core/records.ts";
import { bondUnits } from "../faults/bond-units.ts";
import type { Episode } from "../faults/episode.ts";
import { DEFAULT_GAP_MS, inverterEpisodes, unitEpisodes } from "../faults/episodes.ts";
import { eventSpans, type SpanCounts } from "../faults/fault-spans.ts";
import { gridOutages, powerLosses } from "../faults/power-loss.ts";
import { sunElevationDeg } from "../weather/sun-position.ts";
import { WEATHER_STATES, type WeatherState } from "../weather/weather-state.ts";
import { clockEvidence } from "./clock-offset.ts";
import { describeEpisodes, onsetHours } from "./describe-episodes.ts";
import { type CorrelateInput, type HourFrame, hourFrame } from "./hour-frame.ts";
import { type HourRooms, KeptRooms, NEW_ROOMS } from "./hour-rooms.ts";
import { EXCLUSIONS } from "./hours-at-risk.ts";
import { readingsInWeather } from "./readings-in-weather.ts";
import type { ByState, EpisodeInWeather, SiteCorrelation } from "./site-correlation.ts";
import { type PastRecords, pastRecords, type SiteHours, siteHours, siteWindow } from "./site-hours.ts";
import { NOTHING_COMPARED, type Residuals, wetResiduals } from "./strata.ts";
import { findWeather } from "./weather-finding.ts";

/** A site's log set against the sky, hour by hour: what every question about it starts from. */
export interface ReadSite {
  past: PastRecords;
  log: ReturnType<typeof readLog>;
  episodes: Episode[];
  /** null: no log says anything of it. */
  sky: {
    frame: HourFrame;
    hours: SiteHours;
    /** Hour of each episode's onset, a place in the frame. */
    onsetHour: Int32Array;
    described: EpisodeInWeather[];
    /** Places of the onsets at risk. */
    onsets: number[];
    /** Residuals of wet hours; null where nothing can be compared. */
    wet: Residuals | null;
    window: { from: Instant; to: Instant };
  } | null;
}

/** Read the log of a site and lay it over the weather. Nothing is judged yet. */
export function readSite(input: CorrelateInput, rooms: HourRooms = NEW_ROOMS): ReadSite {
  const gapMs = input.gapMs ?? DEFAULT_GAP_MS;
  const past = pastRecords(input);
  const log = readLog(input, past, gapMs);
  const window = siteWindow(input, past);
  const episodes = log.episodes.map((e) => e.episode);
  if (!window) return { past, log, episodes, sky: null };
  const frame = hourFrame(window, input.weather?.wetness ?? null, input.where, rooms);
  const hours = siteHours(input, past, frame, { ...log, gapMs }, rooms);
  const onsetHour = onsetHours(episodes, frame, input);
  const described = describeEpisodes(episodes, { frame, hours: hours.units, onsetHour }, input);
  const onsets = [...onsetHour].filter((_, k) => described[k]?.atRisk);
  const wet = input.weather && episodes.length > 0 ? wetResiduals(frame, hours, rooms) : null;
  return { past, log, episodes, sky: { frame, hours, onsetHour, described, onsets, wet, window } };
}

/**
 * Everything that the log and the weather of a site say together: episodes, hours at risk, rates wet and dry, driver.
 * Where something cannot be given it is null and said in `gaps`; nothing but a film is ever NaN.
 * @shape O(hours x units + onsets x days); inputs are not mutated
 */
export function correlateSite(input: CorrelateInput): SiteCorrelation {
  // Nothing an hour leaves this function, so the next site may have the same arrays.
  ROOMS.clear();
  const { past, log, episodes, sky } = readSite(input, ROOMS);
  const counts = {
    ...log.counts,
    ...strayRows(input, past),
    ...darkCount(episodes, input),
    gridOutages: log.outages.length,
  };
  const base = {
    units: log.units,
    counts: { ...counts, episodes: episodes.length },
    window: sky?.window ?? null,
  };
  if (!sky) {
    const clock = clockOfSources(input, episodes, sky, 1);
    return { ...base, ...withoutLog(input), clock, readings: [], episodes: describeEpisodes(episodes, null, input) };
  }
  const { frame, hours, described } = sky;
  const found = findWeather({
    frame,
    hours,
    onsets: sky.onsets,
    wet: sky.wet,
    episodes: episodes.length,
    hasWeather: input.weather !== null,
    clockOffsetHours: input.clockOffsetHours ?? null,
    clockScanHours: input.clockScanHours ?? [],
  });
  return {
    ...base,
    clock: clockOfSources(input, episodes, sky, found.overdispersion),
    readings: input.weather ? readingsInWeather(input.records, frame, input.asOf) : [],
    counts: { ...base.counts, episodesAtRisk: described.filter((e) => e.atRisk).length },
    episodes: described,
    byState: countByState(hours, described),
    exposureByMonth: countByMonth(hours),
    excludedUnitHours: hours.excluded,
    weather: found.weather,
    ratioGrid: found.ratioGrid,
    overdispersion: found.overdispersion,
    gaps: [...found.gaps, ...logGaps(hours, counts)],
    notes: [...found.notes, ...logNotes(counts, episodes.length)],
  };
}

const ROOMS = new KeptRooms();

/** What the onsets of each log source at the site say of its clock. */
function clockOfSources(
  input: CorrelateInput,
  episodes: readonly Episode[],
  sky: ReadSite["sky"],
  overdispersion: number,
): SiteCorrelation["clock"] {
  const { site, inverters } = input.records;
  const sourceOf = new Map(inverters.map((i) => [i.inverterId, i.logSource]));
  const bySource = new Map<string | null, Instant[]>();
  for (const e of episodes) {
    const source = sourceOf.get(e.inverterIds[0] ?? "") ?? null;
    const list = bySource.get(source);
    if (list) list.push(e.onset);
    else bySource.set(source, [e.onset]);
  }
  const wet = sky?.wet ?? NOTHING_COMPARED;
  return [...bySource].flatMap(([source, onsets]) => {
    const evidence = clockEvidence({
      onsets,
      where: input.where,
      timeZone: site.timeZone,
      wet,
      firstHour: sky?.frame.firstHour ?? 0,
      overdispersion,
    });
    return evidence ? [{ source, evidence }] : [];
  });
}

function readLog(input: CorrelateInput, past: PastRecords, gapMs: number) {
  const { inverters, sections } = input.records;
  const units = bondUnits(inverters, sections);
  const { spans, counts } = eventSpans(past.faults, input.meanings);
  const perInverter = inverterEpisodes(spans, gapMs);
  const inverterIds = inverters.map((i) => i.inverterId);
  const outages = gridOutages(spans, inverterIds);
  const losses = powerLosses(spans, past.telemetry, outages, { spans: past.isolations, inverterIds });
  return {
    units,
    spans,
    counts,
    perInverter,
    outages,
    episodes: unitEpisodes(perInverter, units, input.where, losses),
  };
}

function strayRows(input: CorrelateInput, past: PastRecords): { strayRows: number } {
  const own = new Set(input.records.inverters.map((i) => i.inverterId));
  return { strayRows: past.faults.filter((f) => !own.has(f.inverterId)).length };
}

/** Onsets after sunset and before sunrise: an array cannot drive a fault then. */
function darkCount(episodes: readonly Episode[], input: CorrelateInput): { episodesInDark: number } {
  return { episodesInDark: episodes.filter((e) => sunElevationDeg(e.onset, input.where) <= 0).length };
}

function emptyByState(): ByState {
  return Object.fromEntries(WEATHER_STATES.map((s) => [s, { unitHours: 0, episodes: 0 }])) as ByState;
}

function countByState({ tally }: SiteHours, episodes: SiteCorrelation["episodes"]): ByState {
  const out = emptyByState();
  for (const { byState } of tally.months)
    WEATHER_STATES.forEach((state, s) => {
      out[state].unitHours += byState[s] as number;
    });
  for (const e of episodes) if (e.atRisk) out[e.state].episodes++;
  return out;
}

function countByMonth({ tally }: SiteHours): SiteCorrelation["exposureByMonth"] {
  return tally.months.map(({ month, byState }) => ({
    from: Date.UTC(1970, month, 1),
    to: Date.UTC(1970, month + 1, 1),
    unitHours: Object.fromEntries(WEATHER_STATES.map((state, s) => [state, byState[s]])) as Record<
      WeatherState,
      number
    >,
  }));
}

function withoutLog(
  input: CorrelateInput,
): Pick<
  SiteCorrelation,
  "byState" | "exposureByMonth" | "excludedUnitHours" | "weather" | "ratioGrid" | "overdispersion" | "gaps" | "notes"
> {
  const says =
    input.records.inverters.length === 0
      ? "No inverter is recorded, so no log can be read."
      : "No fault log or telemetry of this site or its log source.";
  return {
    byState: emptyByState(),
    exposureByMonth: [],
    excludedUnitHours: Object.fromEntries(EXCLUSIONS.map((e) => [e, 0])),
    weather: {
      driver: input.weather === null ? "weather_unknown" : "not_enough_data",
      rateRatio: null,
      low: null,
      high: null,
      pValue: null,
      qValue: null,
      wetHours: 0,
      wetEpisodes: 0,
      dryHours: 0,
      dryEpisodes: 0,
      clockOffsetHours: input.clockOffsetHours ?? null,
    },
    ratioGrid: null,
    overdispersion: 1,
    gaps: [{ what: "fault_log", says }],
    notes: [],
  };
}

function logGaps(hours: SiteHours, counts: { strayRows: number }): { what: string; says: string }[] {
  const gaps: { what: string; says: string }[] = [];
  const { assumed } = hours;
  const who = assumed.length <= 4 ? `inverter ${assumed.join(", ")}` : `${assumed.length} inverters`;
  if (assumed.length > 0)
    gaps.push({
      what: "telemetry",
      says: `No telemetry of ${who}: hours reported are assumed from the span of the log, not measured.`,
    });
  if (counts.strayRows > 0)
    gaps.push({ what: "inverters", says: `${counts.strayRows} fault rows name an inverter that is not recorded.` });
  return gaps;
}

function logNotes(counts: SpanCounts & { episodesInDark: number; gridOutages: number }, episodes: number): string[] {
  const notes: string[] = [];
  const say = (count: number, text: string) => {
    if (count > 0) notes.push(`${count} ${text}`);
  };
  say(
    counts.episodesInDark,
    `of ${episodes} ground-fault episodes began in the dark, when an array cannot drive a fault: check the clock of the log.`,
  );
  say(counts.unknownCodes, "fault rows have a code that is not in their vocabulary; they count as OTHER.");
  say(counts.missingEnds, "ground-fault rows have no end; the inverter counts as out until it showed life again.");
  say(counts.endBeforeStart, "fault rows end before they start; their end is taken as not known.");
  say(counts.duplicates, "fault rows repeat another row and were left out.");
  say(
    counts.gridOutages,
    "losses of the grid struck every inverter in the same minute: context, not a defect of the site.",
  );
  return notes;
}
