import { RELIABILITY_OPTION } from "@/app/_words/charts.ts";
import type { ReliabilityBin } from "@/lib/diagnose/calibration.ts";
import type { Tokens } from "./tokens.ts";
import type { ChartOption } from "./use-echart.ts";

/**
 * Reliability diagram: what was found against what was stated, with an interval a bin and the diagonal of perfect
 * agreement. Empty bins have no mark: no visit says nothing. Bins that disagree have another shape, not only a colour.
 */
export function reliabilityOption(bins: readonly ReliabilityBin[], tokens: Tokens): ChartOption {
  const filled = bins.filter((b) => b.stated !== null && b.found !== null);
  const axis = (name: string) => ({
    type: "value" as const,
    min: 0,
    max: 1,
    interval: 0.2,
    name,
    nameLocation: "middle" as const,
    axisLabel: { color: tokens.soft },
    nameTextStyle: { color: tokens.soft },
    splitLine: { lineStyle: { color: tokens.line } },
  });
  return {
    animation: false,
    aria: { enabled: true },
    grid: { left: 60, right: 24, top: 12, bottom: 52 },
    xAxis: { ...axis(RELIABILITY_OPTION.statedProbability), nameGap: 28 },
    yAxis: { ...axis(RELIABILITY_OPTION.shareFound), nameGap: 38 },
    tooltip: {
      trigger: "item",
      confine: true,
      formatter: (item) => {
        const bin = filled[(item as { dataIndex: number }).dataIndex];
        return bin ? binText(bin) : "";
      },
    },
    series: [
      {
        type: "line",
        name: "agreement",
        silent: true,
        symbol: "none",
        data: [
          [0, 0],
          [1, 1],
        ],
        lineStyle: { color: tokens.soft, type: "dashed", width: 1 },
      },
      ...filled.map((b) => ({
        type: "line" as const,
        name: "interval",
        silent: true,
        symbol: "rect",
        symbolSize: [12, 2],
        data: [
          [b.stated as number, b.low],
          [b.stated as number, b.high],
        ],
        itemStyle: { color: tokens.water },
        lineStyle: { color: tokens.water, width: 2 },
      })),
      {
        type: "scatter",
        name: "bins",
        data: filled.map((b) => ({
          value: [b.stated as number, b.found as number],
          symbol: b.agrees ? "circle" : "diamond",
          symbolSize: b.agrees ? 11 : 16,
          itemStyle: { color: b.agrees ? tokens.water : tokens.for },
        })),
      },
    ],
  };
}

/** A bin in words. */
export function binText(bin: ReliabilityBin): string {
  if (bin.stated === null || bin.found === null) return RELIABILITY_OPTION.noOutcome;
  return RELIABILITY_OPTION.statedFoundToIn(
    bin.stated.toFixed(2),
    bin.found.toFixed(2),
    bin.low.toFixed(2),
    bin.high.toFixed(2),
    bin.trials,
  );
}
