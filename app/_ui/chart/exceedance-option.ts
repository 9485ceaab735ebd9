import { EXCEEDANCE_OPTION } from "@/app/_words/charts.ts";
import type { Tokens } from "./tokens.ts";
import type { ChartOption } from "./use-echart.ts";

interface Curve {
  currency: string;
  curve: readonly { probability: number; loss: number }[];
  marks: readonly { level: number; loss: number }[];
}

/** Losses in thousands or millions, whichever the greatest asks for. */
export function moneyScale(most: number): { by: number; name: string } {
  if (most >= 2e6) return { by: 1e6, name: "million " };
  if (most >= 2e3) return { by: 1e3, name: "thousand " };
  return { by: 1, name: "" };
}

/** Chance that a year costs more than a sum, on a log scale because the tail is what matters. */
export function exceedanceOption({ currency, curve, marks }: Curve, tokens: Tokens): ChartOption {
  const { by, name } = moneyScale(Math.max(1, ...curve.map((p) => p.loss)));
  const axisText = { axisLabel: { color: tokens.soft }, nameTextStyle: { color: tokens.soft } };
  const percent = (p: number) => `${Number((100 * p).toPrecision(2))} %`;
  return {
    animation: false,
    aria: { enabled: true },
    grid: { left: 58, right: 24, top: 34, bottom: 52 },
    xAxis: {
      type: "value",
      min: 0,
      name: EXCEEDANCE_OPTION.netLossOfThe(name, currency),
      nameLocation: "middle",
      nameGap: 30,
      ...axisText,
      splitLine: { lineStyle: { color: tokens.line } },
    },
    yAxis: {
      type: "log",
      min: Math.min(0.001, ...curve.map((p) => p.probability)),
      max: 1,
      name: EXCEEDANCE_OPTION.chanceOfMore,
      ...axisText,
      nameTextStyle: { color: tokens.soft, align: "left" },
      axisLabel: { color: tokens.soft, formatter: percent },
      splitLine: { lineStyle: { color: tokens.line } },
    },
    tooltip: { trigger: "item", confine: true },
    series: [
      {
        type: "line",
        name: EXCEEDANCE_OPTION.chanceOfMore,
        showSymbol: false,
        data: curve.map((p) => [p.loss / by, p.probability]),
        lineStyle: { color: tokens.water, width: 2 },
        itemStyle: { color: tokens.water },
      },
      {
        type: "scatter",
        name: EXCEEDANCE_OPTION.valueAtRisk,
        symbol: "diamond",
        symbolSize: 12,
        data: marks.map((m) => [m.loss / by, 1 - m.level]),
        itemStyle: { color: tokens.fault },
        label: {
          show: true,
          position: "right",
          color: tokens.ink,
          formatter: (item) => `${Number((100 * (marks[item.dataIndex]?.level ?? 0)).toFixed(1))} %`,
        },
      },
    ],
  };
}
