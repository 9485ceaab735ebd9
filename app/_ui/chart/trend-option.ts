import { TREND_OPTION } from "@/app/_words/charts.ts";
import type { Tokens } from "./tokens.ts";
import type { ChartOption } from "./use-echart.ts";

interface Month {
  month: string;
  expected_defects: number;
  low: number;
  high: number;
}

/** Expected defects by month: a mark with its interval, joined by a line. */
export function trendOption(months: readonly Month[], tokens: Tokens): ChartOption {
  const axisText = { axisLabel: { color: tokens.soft }, nameTextStyle: { color: tokens.soft } };
  return {
    animation: false,
    aria: { enabled: true },
    grid: { left: 52, right: 20, top: 28, bottom: 30 },
    xAxis: {
      type: "category",
      data: months.map((m) => m.month),
      ...axisText,
      axisTick: { show: false },
      axisLine: { lineStyle: { color: tokens.line } },
    },
    yAxis: {
      type: "value",
      name: "sites",
      min: 0,
      ...axisText,
      nameTextStyle: { color: tokens.soft, align: "left" },
      splitLine: { lineStyle: { color: tokens.line } },
    },
    tooltip: {
      trigger: "item",
      confine: true,
      formatter: (item) => {
        const m = months[(item as { dataIndex: number }).dataIndex];
        return m
          ? TREND_OPTION.toSites(m.month, m.expected_defects.toFixed(1), m.low.toFixed(1), m.high.toFixed(1))
          : "";
      },
    },
    series: [
      ...months.map((m) => ({
        type: "line" as const,
        name: "interval",
        silent: true,
        symbol: "rect",
        symbolSize: [12, 2],
        data: [
          [m.month, m.low],
          [m.month, m.high],
        ],
        itemStyle: { color: tokens.soft },
        lineStyle: { color: tokens.soft, width: 2 },
      })),
      {
        type: "line",
        name: "expected",
        symbol: "circle",
        symbolSize: 9,
        data: months.map((m) => m.expected_defects),
        itemStyle: { color: tokens.water },
        lineStyle: { color: tokens.water, width: 2 },
      },
    ],
  };
}
