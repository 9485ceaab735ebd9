import { describe, expect, test } from "vitest";
import { beforeAfterOption, ratesOf } from "../../app/_ui/chart/before-after-option.ts";
import { binText, reliabilityOption } from "../../app/_ui/chart/reliability-option.ts";
import { wetHoursText } from "../../app/_ui/fix-state.tsx";
import { number } from "../../app/_ui/format.ts";
import { reliabilityBins } from "../../lib/diagnose/calibration.ts";
import type { FixLine } from "../../lib/reads/fixes-view.ts";

const TOKENS = { ink: "#000", soft: "#333", line: "#ccc", water: "#00f", fault: "#808", for: "#a00", against: "#0a0" };

describe("reliabilityOption", () => {
  const bins = reliabilityBins([
    ...Array.from({ length: 20 }, (_, i) => ({ p: 0.15, found: i < 3 })),
    ...Array.from({ length: 20 }, (_, i) => ({ p: 0.95, found: i < 2 })),
  ]);
  const option = reliabilityOption(bins, TOKENS);
  test("marks the bins that hold outcomes and no other, each with its interval", () => {
    const marks = option.series.find((s) => s.name === "bins")?.data as { value: number[]; symbol: string }[];
    expect(marks.map((m) => m.value.map((v) => Math.round(v * 100)))).toEqual([
      [15, 15],
      [95, 10],
    ]);
    const intervals = option.series.filter((s) => s.name === "interval").map((s) => s.data as number[][]);
    expect(intervals).toHaveLength(2);
    expect(intervals[1]?.map((point) => point[1])).toEqual([bins[9]?.low, bins[9]?.high]);
  });
  test("a bin off its interval has another shape, not only another colour", () => {
    const marks = option.series.find((s) => s.name === "bins")?.data as { symbol: string }[];
    expect(marks.map((m) => m.symbol)).toEqual(["circle", "diamond"]);
    expect(binText(bins[5] as (typeof bins)[number])).toBe("no outcome");
    expect(binText(bins[9] as (typeof bins)[number])).toMatch(/^stated 0\.95, found 0\.10 \(0\.03 to 0\.30\) in 20$/);
  });
});

describe("ratesOf and beforeAfterOption", () => {
  // Garwood's exact interval for 10 events: 4.795 to 18.39 (Garwood 1936, as tabulated in many handbooks; from memory).
  const rates = ratesOf(
    { wetHours: 1000, wetEpisodes: 10, dryHours: 5000, dryEpisodes: 0 },
    { wetHours: 500, wetEpisodes: 0, dryHours: 0, dryEpisodes: 0 },
  );
  test("give rates per 1000 h with the exact Poisson interval; no hours is no rate, not zero", () => {
    expect(rates[0]?.rate).toBe(10);
    expect(rates[0]?.low).toBeCloseTo(4.795, 3);
    expect(rates[0]?.high).toBeCloseTo(18.39, 2);
    // No event: the upper end is 3.689 events (chi-square 7.378 with two degrees of freedom, over two).
    expect(rates[1]).toMatchObject({ rate: 0, low: 0 });
    expect(rates[1]?.high).toBeCloseTo(2 * 3.689, 2);
    expect(rates[3]).toMatchObject({ rate: null, low: null, high: null });
  });
  test("draw an interval for every span that has hours", () => {
    const option = beforeAfterOption(rates, TOKENS);
    expect(option.series.filter((s) => s.name === "interval")).toHaveLength(3);
    const bars = option.series.find((s) => s.type === "bar")?.data as { value: unknown }[];
    expect(bars.map((d) => d.value)).toEqual([10, 0, 0, "-"]);
  });
});

describe("wetHoursText", () => {
  const fix = {
    wetHoursToGo: 12.4,
    expectedBy: "2027-02-03T00:00:00.000Z",
    expectedFrom: "station",
    reopened: false,
  } as FixLine;
  test("says hours, date and what the date rests on, and never promises after trips", () => {
    expect(wetHoursText(fix)).toBe("12 unit-hours, about 2027-02-03 by the station’s usual wetness");
    expect(wetHoursText({ ...fix, expectedBy: null })).toMatch(/date cannot be given/);
    expect(wetHoursText({ ...fix, reopened: true })).toMatch(/open again/);
    expect(wetHoursText({ ...fix, wetHoursToGo: null })).toMatch(/silence alone/);
  });
});

describe("number", () => {
  test("keeps four significant digits and no more", () => {
    expect([0.06, 4000, 0.123456, 1e-5].map(number)).toEqual(["0.06", "4000", "0.1235", "0.00001"]);
  });
});
