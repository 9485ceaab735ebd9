import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { EpisodeInWeather, SiteCorrelation } from "../../lib/correlate/site-correlation.ts";
import { fixWatch } from "../../lib/diagnose/fix-watch.ts";
import { DEFAULT_PARAMETERS } from "../../lib/diagnose/parameters.ts";
import { moreWetHours, stillThere } from "../../lib/diagnose/recurrence.ts";
import { WEATHER_STATES, type WeatherState } from "../../lib/weather/weather-state.ts";
import {
  DAY_MS,
  onDay,
  sampleCorrelation,
  sampleEpisode,
  sampleInspection,
  sampleRecords,
  sampleRepair,
} from "../support/sample-site.ts";

const FROM = Date.parse("2024-01-01T00:00:00Z");
const CUT = Date.parse("2025-01-01T18:00:00Z");
const AS_OF = Date.parse("2026-01-01T00:00:00Z");
const MONTH_MS = 30 * DAY_MS;

/** Months with 60 rainy and 300 dry unit-hours each up to the instant; 12 wet onsets before the repair. */
function log(after: number[] = [], over: Partial<SiteCorrelation> = {}): SiteCorrelation {
  const none = Object.fromEntries(WEATHER_STATES.map((state) => [state, 0])) as Record<WeatherState, number>;
  const months = Math.floor((AS_OF - FROM) / MONTH_MS);
  const exposureByMonth = Array.from({ length: months }, (_, i) => ({
    from: FROM + i * MONTH_MS,
    to: FROM + (i + 1) * MONTH_MS,
    unitHours: { ...none, rain: 60, dry: 300 },
  }));
  const onsets = [...Array.from({ length: 12 }, (_, i) => FROM + (i + 1) * 25 * DAY_MS), ...after];
  const episodes: EpisodeInWeather[] = onsets.map((at) => sampleEpisode(at, 2));
  return sampleCorrelation({ window: { from: FROM, to: AS_OF }, exposureByMonth, episodes, ...over });
}
const repaired = (over = {}) => sampleRepair({ repairedAt: onDay("2025-01-01"), testedAfter: "both", ...over });
const watch = (correlation: SiteCorrelation, repair = repaired(), over = {}) =>
  fixWatch(
    {
      records: sampleRecords({ repairs: [repair] }),
      correlation,
      asOf: AS_OF,
      repair,
      detectorUnchanged: true,
      ...over,
    },
    DEFAULT_PARAMETERS,
  );

describe("fixWatch", () => {
  test("held: both tests after the repair, a detector as before, reported wet hours without a fault", () => {
    const found = watch(log());
    expect(found).toMatchObject({ state: "held", missing: [], reopened: false, wetHoursToGo: 0 });
    expect(found?.stillThere).toBeLessThan(0.05);
    expect(found?.before.wetEpisodes).toBe(12);
    expect(found?.after.wetEpisodes).toBe(0);
  });
  test("silence alone is never held: each missing piece keeps it at no recurrence seen and is named", () => {
    const silent = (over: object, repair = repaired(), correlation = log()) => watch(correlation, repair, over);
    const cases = [
      silent({}, repaired({ testedAfter: "continuity" })),
      silent({}, repaired({ testedAfter: "insulation" })),
      silent({ detectorUnchanged: null }),
      silent({ detectorUnchanged: false }),
      silent({}, repaired(), log([], { gaps: [{ what: "telemetry", says: "Assumed." }] })),
    ];
    for (const each of cases) {
      expect(each?.state).toBe("no_recurrence_seen");
      expect(each?.missing).toHaveLength(1);
    }
  });
  test("an insulation reading of a later inspection counts as measured, one that cannot be judged does not", () => {
    const row = (testVoltageV: number | null) =>
      sampleInspection({
        check: "insulation_resistance",
        inverterId: "I1",
        inspectedAt: onDay("2025-03-01"),
        value: "30",
        unit: "megohm",
        method: "insulation_2",
        testVoltageV,
      });
    const repair = repaired({ testedAfter: "continuity" });
    const withRow = (testVoltageV: number | null) =>
      watch(log(), repair, { records: sampleRecords({ repairs: [repair], inspections: [row(testVoltageV)] }) });
    expect(withRow(1000)?.state).toBe("held");
    expect(withRow(null)?.state).toBe("no_recurrence_seen");
  });
  test("trips that go on after a measured bond point to a leak that remains, and reopen the question", () => {
    const found = watch(log([CUT + 20 * DAY_MS, CUT + 60 * DAY_MS, CUT + 90 * DAY_MS]));
    expect(found).toMatchObject({ state: "trips_go_on", reopened: true, wetHoursToGo: null });
    expect(found?.says).toContain("a leak that remains");
  });
  test("before any wet hour it is too early, and says how long until it can be told at the site's own pace", () => {
    const repair = repaired({ repairedAt: onDay("2025-12-31"), testedAfter: "none" });
    const found = watch(log(), repair);
    expect(found?.state).toBe("too_early");
    expect(found?.wetHoursToGo).toBeGreaterThan(0);
    expect(found?.expectedBy).toBeGreaterThan(AS_OF);
  });
  test("a repair that names no cause, or that is still to come, is not watched", () => {
    expect(watch(log(), repaired({ cause: "none_found" }))).toBeNull();
    expect(watch(log(), repaired({ repairedAt: onDay("2026-02-01") }))).toBeNull();
  });
});

describe("stillThere", () => {
  const rates = { prior: 0.2, causePerHour: 0.01, backgroundPerHour: 0.0005 };
  const counts = (wetHours: number, wetEpisodes: number) => ({ wetHours, wetEpisodes, dryHours: 0, dryEpisodes: 0 });
  test("agrees with the closed form of the gamma-Poisson for silence", () => {
    // Gamma(1 + 9, 100 + 900 h), 200 h of silence: (1000/1200)^10; background Gamma(1, 2000 h): 2000/2200.
    const odds = (0.25 * (1000 / 1200) ** 10) / (2000 / 2200);
    expect(stillThere(counts(900, 9), counts(200, 0), rates)).toBeCloseTo(odds / (1 + odds), 12);
  });
  test("falls with every silent wet hour and rises with an onset", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 3000 }), fc.integer({ min: 1, max: 3000 }), (hours, more) => {
        const before = counts(900, 9);
        const now = stillThere(before, counts(hours, 0), rates);
        expect(stillThere(before, counts(hours + more, 0), rates)).toBeLessThan(now);
        expect(stillThere(before, counts(hours, 1), rates)).toBeGreaterThan(now);
      }),
    );
  });
  test("moreWetHours is the hours after which the goal is just met", () => {
    const before = counts(900, 9);
    const more = moreWetHours(before, counts(100, 0), rates, 0.05) as number;
    expect(more).toBeGreaterThan(0);
    expect(stillThere(before, counts(100 + more, 0), rates)).toBeCloseTo(0.05, 9);
  });
});
