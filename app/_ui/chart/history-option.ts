import { HISTORY_OPTION } from "@/app/_words/charts.ts";
import type { SiteView } from "@/lib/reads/site-view.ts";
import { timeInZone } from "../format.ts";
import type { Tokens } from "./tokens.ts";
import type { ChartOption } from "./use-echart.ts";

/** A site's probability over its scores: a step from score to score inside its 5 % to 95 % band. */
export function historyOption(history: SiteView["history"], tokens: Tokens, zone: string): ChartOption {
  // The axis reads in the site's time: its wall clock as if it were UTC.
  const at = (h: SiteView["history"][number]) => Date.parse(`${timeInZone(h.computedAt, zone).replace(" ", "T")}Z`);
  const axis = { axisLabel: { color: tokens.soft }, axisLine: { lineStyle: { color: tokens.line } } };
  const line = { type: "line" as const, step: "end" as const, showSymbol: false, silent: true };
  return {
    animation: false,
    aria: { enabled: true },
    useUTC: true,
    grid: { left: 46, right: 18, top: 26, bottom: 34 },
    xAxis: { type: "time", ...axis },
    yAxis: {
      type: "value",
      min: 0,
      max: 1,
      name: "probability",
      nameTextStyle: { color: tokens.soft, align: "left" },
      ...axis,
      splitLine: { lineStyle: { color: tokens.line } },
    },
    tooltip: { trigger: "axis", confine: true },
    series: [
      { ...line, name: "5 %", stack: "band", lineStyle: { width: 0 }, data: history.map((h) => [at(h), h.low]) },
      {
        ...line,
        name: "5 % to 95 %",
        stack: "band",
        lineStyle: { width: 0 },
        areaStyle: { color: tokens.fault, opacity: 0.2 },
        data: history.map((h) => [at(h), h.high - h.low]),
      },
      {
        ...line,
        name: HISTORY_OPTION.bondingOrGroundingDefect,
        silent: false,
        showSymbol: true,
        symbolSize: 6,
        lineStyle: { color: tokens.fault, width: 2 },
        itemStyle: { color: tokens.fault },
        data: history.map((h) => [at(h), h.p]),
      },
    ],
  };
}
