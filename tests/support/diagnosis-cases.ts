import { CAUSES, type Cause, type Check, type SiteRecords } from "../../lib/core/records.ts";
import type { EpisodeInWeather, SiteCorrelation } from "../../lib/correlate/site-correlation.ts";
import { diagnose } from "../../lib/diagnose/diagnose.ts";
import type { Diagnosis } from "../../lib/diagnose/diagnosis.ts";
import { DEFAULT_PARAMETERS } from "../../lib/diagnose/parameters.ts";
import type { WeatherState } from "../../lib/weather/weather-state.ts";
import { sampleCorrelation, sampleInspection, sampleInverter, sampleRecords, sampleSection } from "./sample-site.ts";

export const AS_OF = Date.UTC(2026, 9, 1);
export const FROM = AS_OF - 730 * 86_400_000;
export const HOURS: Partial<Record<WeatherState, number>> = {
  dry: 3600,
  hot: 1400,
  rain: 1500,
  dew: 500,
  thunder: 160,
};

export function episode(state: WeatherState, i: number, over: Partial<EpisodeInWeather> = {}): EpisodeInWeather {
  return {
    unitId: "I1",
    inverterIds: ["I1"],
    onset: FROM + (i + 1) * 9 * 86_400_000 + (i % 5) * 3_600_000,
    end: null,
    rows: 2,
    censored: null,
    resetBy: "auto",
    closedAs: "self_cleared",
    state,
    atRisk: true,
    clearedOnDrying: null,
    hoursSinceRain: null,
    atDawn: false,
    ...over,
  };
}

/** Two years of hours at risk and the episodes given. */
export function correlation(episodes: EpisodeInWeather[], over: Partial<SiteCorrelation> = {}): SiteCorrelation {
  const base = sampleCorrelation();
  for (const [state, unitHours] of Object.entries(HOURS)) {
    base.byState[state as WeatherState] = { unitHours, episodes: episodes.filter((e) => e.state === state).length };
  }
  const unitHours = { ...Object.fromEntries(Object.keys(base.byState).map((s) => [s, 0])), ...HOURS } as Record<
    WeatherState,
    number
  >;
  return {
    ...base,
    episodes,
    window: { from: FROM, to: AS_OF },
    exposureByMonth: [{ from: FROM, to: AS_OF, unitHours }],
    overdispersion: 1,
    ...over,
  };
}

export const many = (n: number, state: WeatherState, over: Partial<EpisodeInWeather> = {}, from = 0) =>
  Array.from({ length: n }, (_, i) => episode(state, from + i, over));
export const run = (records: SiteRecords, c: SiteCorrelation, draws = 0) =>
  diagnose({ records, correlation: c, asOf: AS_OF }, DEFAULT_PARAMETERS, { draws });
export const leading = (d: Diagnosis) => [...CAUSES].sort((a, b) => d.causes[b] - d.causes[a])[0] as Cause;

export const twoSections = (bondedTo: string | null = null) =>
  sampleRecords({
    inverters: [sampleInverter({ inverterId: "I1" }), sampleInverter({ inverterId: "I2" })],
    sections: [
      sampleSection({ sectionId: "A", inverterId: "I1", bondedTo }),
      sampleSection({ sectionId: "B", inverterId: "I2", bondedTo }),
    ],
  });
export const plain = () =>
  sampleRecords({
    inverters: [sampleInverter({ inverterId: "I1" })],
    sections: [sampleSection({ sectionId: "A", inverterId: "I1", bondedTo: "bus" })],
  });
export const check = (name: Check, outcome: "pass" | "fail" | "unable", over = {}) =>
  sampleInspection({
    check: name,
    outcome,
    value: null,
    unit: null,
    quantity: null,
    method: null,
    pointA: null,
    pointB: null,
    sectionId: null,
    inverterId: null,
    ...over,
  });
