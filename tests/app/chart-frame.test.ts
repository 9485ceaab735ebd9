import { describe, expect, test } from "vitest";
import { barsOption } from "../../app/_ui/chart/bars-option.ts";
import { beforeAfterOption, ratesOf } from "../../app/_ui/chart/before-after-option.ts";
import { linesOf } from "../../app/_ui/chart/download.ts";
import { evidenceOption } from "../../app/_ui/chart/evidence-option.ts";
import { exceedanceOption } from "../../app/_ui/chart/exceedance-option.ts";
import { historyOption } from "../../app/_ui/chart/history-option.ts";
import { lagOption } from "../../app/_ui/chart/lag-option.ts";
import { reliabilityOption } from "../../app/_ui/chart/reliability-option.ts";
import { timelineOption } from "../../app/_ui/chart/timeline-option.ts";
import type { Tokens } from "../../app/_ui/chart/tokens.ts";
import { trendOption } from "../../app/_ui/chart/trend-option.ts";
import type { ChartOption } from "../../app/_ui/chart/use-echart.ts";
import { safeCsv } from "../../lib/core/safe-csv.ts";
import { reliabilityBins } from "../../lib/diagnose/calibration.ts";

const TOKENS: Tokens = { ink: "k", soft: "s", line: "l", water: "w", fault: "f", for: "a", against: "b" };

interface Drawn {
  type?: string;
  name?: string;
  xAxisIndex?: number;
  symbol?: string;
  showSymbol?: boolean;
  itemStyle?: { color?: string };
  lineStyle?: { type?: string; width?: number; color?: string };
  areaStyle?: object;
}

/** What is left of a series for an eye that sees no colour: kind, mark, dash, and the hatching of bars in their order. */
function inGrey(option: ChartOption, series: Drawn, index: number): string {
  const decals = (option.aria as { decal?: { show?: boolean; decals?: object[] } } | undefined)?.decal;
  const hatch = decals?.show && series.type === "bar" ? JSON.stringify(decals.decals?.[index]) : "";
  const dash = series.type === "line" ? (series.lineStyle?.type ?? "solid") : "";
  const area = series.areaStyle ? "area" : series.lineStyle?.width === 0 ? "not drawn" : "";
  const mark = series.showSymbol === false ? "none" : (series.symbol ?? "none");
  return [series.xAxisIndex ?? 0, series.type, mark, dash, hatch, area].join(" ");
}

const CHARTS = {
  bars: barsOption(
    {
      categories: ["0", "1"],
      xName: "hour",
      yName: "onsets",
      series: [
        { name: "before", values: [1, 2], token: "soft" },
        { name: "after", values: [2, 1], token: "water" },
      ],
    },
    TOKENS,
  ),
  "before and after": beforeAfterOption(
    ratesOf(
      { wetEpisodes: 3, wetHours: 100, dryEpisodes: 1, dryHours: 900 },
      { wetEpisodes: 0, wetHours: 50, dryEpisodes: 0, dryHours: 400 },
    ),
    TOKENS,
  ),
  exceedance: exceedanceOption(
    { currency: "USD", curve: [{ probability: 0.1, loss: 5 }], marks: [{ level: 0.9, loss: 5 }] },
    TOKENS,
  ),
  evidence: evidenceOption([{ source: "events", decibans: 3, says: "wet" }] as never, TOKENS),
  history: historyOption(
    [
      { computedAt: "2026-03-01T09:00:00Z", p: 0.4, low: 0.2, high: 0.6 },
      { computedAt: "2026-03-02T09:00:00Z", p: 0.5, low: 0.3, high: 0.7 },
    ] as never,
    TOKENS,
    "America/Chicago",
  ),
  lag: lagOption(
    { lags: [-1, 0, 1], excess: [0, 2, 1], logRatio: [0, 1, 0], envelope: 1.5, peakLag: 0 } as never,
    TOKENS,
  ),
  reliability: reliabilityOption(
    reliabilityBins([
      { p: 0.1, found: false },
      { p: 0.9, found: true },
    ]),
    TOKENS,
  ),
  timeline: timelineOption(
    {
      step: "day",
      from: "2026-03-01T00:00:00-06:00",
      timeZone: "America/Chicago",
      rainMm: [1],
      filmMm: [0.1],
      logFrom: null,
      faults: [{ onset: "2026-03-01T09:30:00-06:00", end: null, wet: true, label: "INV1" }],
    },
    TOKENS,
  ),
  trend: trendOption([{ month: "2026-10", expected_defects: 5, low: 3, high: 8 }], TOKENS),
} satisfies Record<string, ChartOption>;

describe("charts without colour", () => {
  test.each(Object.entries(CHARTS))("%s: no two kinds of series look the same in grey", (_, option) => {
    const kinds = new Map<string, Set<string>>();
    (option.series as Drawn[]).forEach((series, index) => {
      const look = inGrey(option, series, index);
      kinds.set(look, (kinds.get(look) ?? new Set()).add(series.name ?? ""));
    });
    for (const [look, names] of kinds) expect([look, [...names]]).toEqual([look, [expect.any(String)]]);
  });
  test("an interval is drawn in ink over pale bars, so that it is seen on them", () => {
    const [bars, ...intervals] = CHARTS["before and after"].series as Drawn[];
    const shades = (bars as unknown as { data: { itemStyle: { opacity: number } }[] }).data.map(
      (d) => d.itemStyle.opacity,
    );
    expect(Math.max(...shades)).toBeLessThan(0.6);
    expect(new Set(intervals.map((s) => s.lineStyle?.color))).toEqual(new Set(["k"]));
  });
  test("evidence for and against is told by its side and its label", () => {
    const [bar] = CHARTS.evidence.series as unknown as { label: { show: boolean }; data: { label: object }[] }[];
    expect(bar?.label.show).toBe(true);
    expect(bar?.data[0]?.label).toEqual({ position: "right" });
  });
  test("series that differ in colour alone are found", () => {
    const bare = { ...CHARTS.bars, aria: { enabled: true } } as ChartOption;
    const looks = (bare.series as Drawn[]).map((series, index) => inGrey(bare, series, index));
    expect(new Set(looks).size).toBe(1);
  });
});

describe("files of a chart", () => {
  test("the sentence under a picture breaks between words and loses none", () => {
    const text = "one two three four five";
    const lines = linesOf(text, 10, (line) => line.length);
    expect(lines).toEqual(["one two", "three four", "five"]);
    expect(linesOf("a-word-longer-than-the-line b", 5, (line) => line.length)).toEqual([
      "a-word-longer-than-the-line",
      "b",
    ]);
  });
  test("a name from a file that a spreadsheet would run stays text", () => {
    expect(safeCsv(["source", "decibans"], [['=HYPERLINK("x")', "-6.2"]])).toBe(
      'source,decibans\r\n"\'=HYPERLINK(""x"")",-6.2\r\n',
    );
  });
});
