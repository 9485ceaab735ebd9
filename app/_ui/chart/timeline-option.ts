import { TIMELINE_OPTION } from "@/app/_words/charts.ts";
import { inchesOf, milsOf, type Units } from "@/lib/core/units.ts";
import type { SiteTimeline } from "@/lib/reads/site-view.ts";
import type { Tokens } from "./tokens.ts";
import { BRUSH_TOOL, type ChartOption } from "./use-echart.ts";

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
 * Rain as bars, film of water as an area, every ground-fault episode as a mark, one under the other. Unknown steps are
 * gaps, never zeros.
 */
export function timelineOption(timeline: SiteTimeline, tokens: Tokens, units: Units = "metric"): ChartOption {
  const rainOf = (mm: number | null) => (mm === null || units === "metric" ? mm : Number(inchesOf(mm).toFixed(3)));
  const filmOf = (mm: number | null) => (mm === null || units === "metric" ? mm : Number(milsOf(mm).toFixed(2)));
  const rainUnit = units === "us" ? "inches" : "mm";
  const times = stepTimes(timeline);
  const named = { nameTextStyle: { color: tokens.soft, align: "left" as const }, axisLabel: { color: tokens.soft } };
  const lines = { splitLine: { lineStyle: { color: tokens.line } } };
  const time = (gridIndex: number, labels: boolean) => ({
    type: "time" as const,
    gridIndex,
    axisLabel: { show: labels, color: tokens.soft, hideOverlap: true },
    axisTick: { show: labels },
    axisLine: { lineStyle: { color: tokens.line } },
  });
  return {
    animation: false,
    aria: { enabled: true },
    useUTC: true,
    grid: [
      { left: 46, right: 14, top: 26, height: 120 },
      { left: 46, right: 14, top: 176, height: 44 },
      { left: 46, right: 14, top: 250, height: 30 },
    ],
    xAxis: [time(0, false), time(1, false), time(2, true)],
    yAxis: [
      {
        type: "value",
        gridIndex: 0,
        name: timeline.step === "hour" ? TIMELINE_OPTION.rainInTheHour(rainUnit) : TIMELINE_OPTION.rainADay(rainUnit),
        min: 0,
        ...named,
        ...lines,
      },
      {
        type: "value",
        gridIndex: 1,
        name: units === "us" ? TIMELINE_OPTION.filmOfWaterMil : TIMELINE_OPTION.filmOfWaterMm,
        min: 0,
        ...(units === "us" ? { max: 40, interval: 20 } : { max: 1, interval: 0.5 }),
        ...named,
        ...lines,
      },
      {
        type: "value",
        gridIndex: 2,
        name: TIMELINE_OPTION.groundFaults,
        min: 0,
        max: 1,
        nameTextStyle: named.nameTextStyle,
        axisLabel: { show: false },
        splitLine: { show: false },
      },
    ],
    toolbox: BRUSH_TOOL,
    dataZoom: [
      { type: "inside", xAxisIndex: [0, 1, 2], filterMode: "none", moveOnMouseMove: false },
      {
        ...{ type: "slider", xAxisIndex: [0, 1, 2], filterMode: "none", bottom: 6, height: 22 },
        ...{ borderColor: tokens.line, backgroundColor: "transparent", fillerColor: "rgba(128, 128, 128, 0.15)" },
        dataBackground: { lineStyle: { color: tokens.soft }, areaStyle: { color: tokens.line } },
        selectedDataBackground: { lineStyle: { color: tokens.soft }, areaStyle: { color: tokens.line } },
        handleStyle: { borderColor: tokens.soft },
        moveHandleStyle: { color: tokens.line },
        textStyle: { color: tokens.soft },
      },
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
        data: timeline.rainMm.map((mm, i) => [times[i] as number, rainOf(mm)]),
      },
      {
        name: TIMELINE_OPTION.filmOfWater,
        type: "line",
        xAxisIndex: 1,
        yAxisIndex: 1,
        step: "middle",
        showSymbol: false,
        connectNulls: false,
        lineStyle: { width: 0 },
        areaStyle: { color: tokens.water, opacity: 0.55 },
        itemStyle: { color: tokens.water },
        data: timeline.filmMm.map((mm, i) => [times[i] as number, filmOf(mm)]),
      },
      {
        name: TIMELINE_OPTION.groundFault,
        type: "scatter",
        xAxisIndex: 2,
        yAxisIndex: 2,
        symbol: "rect",
        symbolSize: [3, 26],
        itemStyle: { color: tokens.fault, opacity: 0.85 },
        data: timeline.faults.map((f) => [wallOf(f.onset), 0.5]),
        tooltip: {
          formatter: (item) => {
            const f = timeline.faults[(item as { dataIndex: number }).dataIndex];
            return f ? `${f.onset.slice(0, 16).replace("T", " ")}\n${f.label}` : "";
          },
        },
      },
    ],
  };
}

/** Wet ground faults that belong together: no more than two days from one to the next. Wall clock, epoch ms. */
export interface Storm {
  from: number;
  to: number;
  faults: number;
}

const APART_MS = 2 * 86_400_000;

/** Storms of a time line in which the array faulted wet, the newest first. */
export function stormsOf(timeline: SiteTimeline): Storm[] {
  const storms: Storm[] = [];
  const wet = timeline.faults.filter((f) => f.wet === true).map((f) => wallOf(f.onset));
  for (const at of wet.sort((a, b) => a - b)) {
    const open = storms.at(-1);
    if (open && at - open.to <= APART_MS) {
      open.to = at;
      open.faults++;
    } else storms.push({ from: at, to: at, faults: 1 });
  }
  return storms.reverse();
}
