import { LAG_OPTION } from "@/app/_words/charts.ts";
import type { LagCurve } from "@/lib/correlate/lag-curve.ts";
import type { Tokens } from "./tokens.ts";
import type { ChartOption } from "./use-echart.ts";

/**
 * Excess of wet hours by hours before the onset, with the height that chance alone stays below at every lag at once.
 * Lags where nothing can be compared are gaps.
 */
export function lagOption(lag: LagCurve, tokens: Tokens): ChartOption {
  const { lags, excess, envelope } = lag;
  const ends = [lags[0] ?? 0, lags.at(-1) ?? 0];
  return {
    animation: false,
    aria: { enabled: true },
    grid: { left: 52, right: 20, top: 28, bottom: 48 },
    xAxis: {
      type: "value",
      min: ends[0] as number,
      max: ends[1] as number,
      interval: 6,
      name: LAG_OPTION.hoursBeforeTheOnset,
      nameLocation: "middle",
      nameGap: 28,
      axisLabel: { color: tokens.soft },
      nameTextStyle: { color: tokens.soft },
      splitLine: { show: false },
      axisLine: { onZero: false, lineStyle: { color: tokens.line } },
    },
    yAxis: {
      type: "value",
      name: LAG_OPTION.excessOfWetHours,
      nameTextStyle: { color: tokens.soft, align: "left" },
      axisLabel: { color: tokens.soft },
      axisLine: { show: false, onZero: false },
      splitLine: { lineStyle: { color: tokens.line } },
    },
    tooltip: { trigger: "axis", confine: true, valueFormatter: (v) => (typeof v === "number" ? v.toFixed(2) : "–") },
    series: [
      {
        type: "line",
        name: "excess",
        showSymbol: false,
        connectNulls: false,
        data: lags.map((l, k) => [l, excess[k] ?? null] as [number, number | null]),
        lineStyle: { color: tokens.water, width: 2 },
        itemStyle: { color: tokens.water },
      },
      ...(envelope === null
        ? []
        : [
            {
              type: "line" as const,
              name: LAG_OPTION.ofChanceStaysBelow,
              showSymbol: false,
              silent: true,
              data: ends.map((l) => [l as number, envelope]),
              lineStyle: { color: tokens.fault, type: "dashed" as const, width: 1.5 },
              itemStyle: { color: tokens.fault },
            },
          ]),
    ],
  };
}
