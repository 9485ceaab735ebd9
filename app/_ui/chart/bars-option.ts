import { BARS_OPTION } from "@/app/_words/charts.ts";
import type { Tokens } from "./tokens.ts";
import type { ChartOption } from "./use-echart.ts";

interface Bars {
  categories: readonly string[];
  xName: string;
  yName: string;
  series: readonly { name: string; values: readonly (number | null)[]; token: "water" | "fault" | "soft" | "ink" }[];
  /** Height of a dashed line; the sentence beside the chart says what it is. */
  levelAt?: number;
  /** Decimals in the tooltip. */
  decimals?: number;
}

/** The first series is plain (a decal with no symbol: null makes the engine throw), the second hatched. */
const HATCH = [
  { symbol: "none" },
  { symbol: "line", rotation: Math.PI / 4, dashArrayX: [1, 0], dashArrayY: [3, 4] },
] as const;

/** Bars over categories; a second series is hatched, so that the two are told apart without colour. Nulls are gaps. */
export function barsOption(bars: Bars, tokens: Tokens): ChartOption {
  const { categories, series, levelAt } = bars;
  const axisText = { axisLabel: { color: tokens.soft }, nameTextStyle: { color: tokens.soft } };
  return {
    animation: false,
    aria: { enabled: true, decal: { show: series.length > 1, decals: [...HATCH] as never } },
    grid: { left: 52, right: 20, top: series.length > 1 ? 52 : 28, bottom: 48 },
    ...(series.length > 1 ? { legend: { top: 0, left: 0, textStyle: { color: tokens.ink } } } : {}),
    xAxis: {
      type: "category",
      data: [...categories],
      name: bars.xName,
      nameLocation: "middle",
      nameGap: 28,
      ...axisText,
      axisTick: { show: false },
      axisLine: { lineStyle: { color: tokens.line } },
    },
    yAxis: {
      type: "value",
      name: bars.yName,
      min: 0,
      ...axisText,
      nameTextStyle: { color: tokens.soft, align: "left" },
      splitLine: { lineStyle: { color: tokens.line } },
    },
    tooltip: {
      trigger: "axis",
      confine: true,
      valueFormatter: (v) => (typeof v === "number" ? v.toFixed(bars.decimals ?? 0) : BARS_OPTION.notKnown),
    },
    series: series.map((s, k) => ({
      type: "bar",
      name: s.name,
      barMaxWidth: 26,
      data: [...s.values],
      itemStyle: { color: tokens[s.token] },
      ...(k === 0 && levelAt !== undefined
        ? {
            markLine: {
              silent: true,
              symbol: "none",
              data: [{ yAxis: levelAt }],
              lineStyle: { color: tokens.fault, type: "dashed" as const },
              label: { show: false },
            },
          }
        : {}),
    })),
  };
}
