import type { SiteTimeline } from "@/lib/reads/site-view.ts";
import { escapeHtml } from "./evidence-option.ts";
import type { Tokens } from "./tokens.ts";
import type { ChartOption } from "./use-echart.ts";

const STEP_MS = { hour: 3_600_000, day: 86_400_000 } as const;

/** Wall clock of the site as if it were UTC, so that the axis reads in the site's time whatever the viewer's zone. */
export function wallOf(isoWithOffset: string): number {
  return Date.parse(`${isoWithOffset.slice(0, 19)}Z`);
}

/** Times of the steps, site wall clock. */
export function stepTimes(timeline: SiteTimeline): number[] {
  const from = wallOf(timeline.from);
  return timeline.rainMm.map((_, i) => from + i * STEP_MS[timeline.step]);
}

/**
 * Rain as bars, film of water as a line, every ground-fault episode as a mark on a line of its own. Unknown steps are
 * gaps, never zeros.
 */
export function timelineOption(timeline: SiteTimeline, tokens: Tokens): ChartOption {
  const times = stepTimes(timeline);
  const per = timeline.step === "hour" ? "mm in the hour" : "mm a day";
  const axis = {
    axisLabel: { color: tokens.soft },
    nameTextStyle: { color: tokens.soft },
    splitLine: { lineStyle: { color: tokens.line } },
  };
  return {
    animation: false,
    aria: { enabled: true },
    useUTC: true,
    legend: { top: 0, textStyle: { color: tokens.ink } },
    grid: [
      { left: 56, right: 56, top: 40, height: 170 },
      { left: 56, right: 56, top: 226, height: 46 },
    ],
    xAxis: [
      {
        type: "time",
        gridIndex: 0,
        axisLabel: { show: false },
        axisTick: { show: false },
        axisLine: { lineStyle: { color: tokens.line } },
      },
      {
        type: "time",
        gridIndex: 1,
        axisLabel: { color: tokens.soft },
        axisLine: { lineStyle: { color: tokens.line } },
      },
    ],
    yAxis: [
      { type: "value", gridIndex: 0, name: `rain, ${per}`, min: 0, ...axis },
      {
        type: "value",
        gridIndex: 0,
        name: "film, mm",
        min: 0,
        max: 1,
        position: "right",
        ...axis,
        splitLine: { show: false },
      },
      {
        type: "value",
        gridIndex: 1,
        min: 0,
        max: 1,
        axisLabel: { show: false },
        splitLine: { show: false },
        name: "ground faults",
        nameLocation: "start",
        nameTextStyle: { color: tokens.soft, padding: [0, 0, 0, 40] },
      },
    ],
    dataZoom: [
      { type: "inside", xAxisIndex: [0, 1], filterMode: "none" },
      { type: "slider", xAxisIndex: [0, 1], filterMode: "none", bottom: 4, height: 22 },
    ],
    tooltip: { trigger: "item", confine: true },
    series: [
      {
        name: "rain",
        type: "bar",
        xAxisIndex: 0,
        yAxisIndex: 0,
        large: true,
        itemStyle: { color: tokens.water },
        data: timeline.rainMm.map((mm, i) => [times[i] as number, mm]),
      },
      {
        name: "film of water",
        type: "line",
        xAxisIndex: 0,
        yAxisIndex: 1,
        showSymbol: false,
        connectNulls: false,
        lineStyle: { color: tokens.soft, width: 1 },
        itemStyle: { color: tokens.soft },
        data: timeline.filmMm.map((mm, i) => [times[i] as number, mm]),
      },
      {
        name: "ground fault",
        type: "scatter",
        xAxisIndex: 1,
        yAxisIndex: 2,
        symbol: "rect",
        symbolSize: [3, 26],
        itemStyle: { color: tokens.fault, opacity: 0.85 },
        data: timeline.faults.map((f) => [wallOf(f.onset), 0.5]),
        tooltip: {
          formatter: (item) => {
            const f = timeline.faults[(item as { dataIndex: number }).dataIndex];
            return f ? `${f.onset.slice(0, 16).replace("T", " ")}<br>${escapeHtml(f.label)}` : "";
          },
        },
      },
    ],
  };
}
