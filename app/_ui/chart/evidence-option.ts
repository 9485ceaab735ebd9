import { EVIDENCE_OPTION } from "@/app/_words/charts.ts";
import type { SiteScore } from "@/lib/reads/documents.ts";
import { decibanText } from "../format.ts";
import type { Tokens } from "./tokens.ts";
import type { ChartOption } from "./use-echart.ts";

/** Room for one bar, px. */
const BAR_PX = 30;

/** Height that fits so many items. */
export const evidenceHeight = (items: number): number => 60 + items * BAR_PX;

/**
 * Evidence as bars to both sides of zero, in the order it was weighed: right speaks for a bonding or grounding defect,
 * left against it. Values are those of the score, unrounded.
 */
export function evidenceOption(evidence: SiteScore["evidence"], tokens: Tokens): ChartOption {
  const names = evidence.map((e, i) => `${i + 1} ${e.source}`);
  return {
    animation: false,
    aria: { enabled: true },
    grid: { left: 130, right: 60, top: 8, bottom: 40 },
    xAxis: {
      type: "value",
      // On a phone the figure of the longest bar to the left would stand on the names of the items.
      min: ({ min, max }: { min: number; max: number }) => (min < 0 ? Math.floor(min - 0.15 * (max - min)) : 0),
      name: EVIDENCE_OPTION.decibansLeftAgainstRight,
      nameLocation: "middle",
      nameGap: 26,
      // The end of the axis is where there is room, not a round figure.
      axisLabel: { color: tokens.soft, showMinLabel: false },
      nameTextStyle: { color: tokens.soft },
      splitLine: { lineStyle: { color: tokens.line } },
    },
    yAxis: {
      type: "category",
      data: names,
      inverse: true,
      axisLabel: { color: tokens.ink },
      axisTick: { show: false },
      axisLine: { lineStyle: { color: tokens.line } },
    },
    tooltip: {
      trigger: "item",
      confine: true,
      formatter: (item) => {
        const e = evidence[(item as { dataIndex: number }).dataIndex];
        return e ? `${e.decibans.toFixed(1)} dB\n${e.says}` : "";
      },
    },
    series: [
      {
        type: "bar",
        barMaxWidth: 18,
        data: evidence.map((e) => ({
          value: e.decibans,
          itemStyle: { color: e.decibans >= 0 ? tokens.for : tokens.against },
          label: { position: e.decibans >= 0 ? "right" : "left" },
        })),
        label: { show: true, color: tokens.ink, formatter: (p) => decibanText(Number(p.value)) },
      },
    ],
  };
}
