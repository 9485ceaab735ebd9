import { BEFORE_AFTER_OPTION } from "@/app/_words/charts.ts";
import { gammaQuantile } from "@/lib/core/statistics.ts";
import type { FixLine } from "@/lib/reads/fixes-view.ts";
import type { Tokens } from "./tokens.ts";
import type { ChartOption } from "./use-echart.ts";

export interface SpanRate {
  array: "wet" | "dry";
  when: "before" | "after";
  episodes: number;
  hours: number;
  /** Per 1000 unit-hours with the exact Poisson interval (Garwood 1936); null without hours. */
  rate: number | null;
  low: number | null;
  high: number | null;
}

/** Rates of ground faults before and after a repair, wet and dry, in the order that they are shown. */
export function ratesOf(before: FixLine["before"], after: FixLine["after"]): SpanRate[] {
  const rate = (array: SpanRate["array"], when: SpanRate["when"], episodes: number, hours: number): SpanRate => {
    if (!(hours > 0)) return { array, when, episodes, hours, rate: null, low: null, high: null };
    const per = (count: number) => (1000 * count) / hours;
    const low = episodes === 0 ? 0 : per(gammaQuantile(0.025, episodes, 1));
    return { array, when, episodes, hours, rate: per(episodes), low, high: per(gammaQuantile(0.975, episodes + 1, 1)) };
  };
  return [
    rate("wet", "before", before.wetEpisodes, before.wetHours),
    rate("wet", "after", after.wetEpisodes, after.wetHours),
    rate("dry", "before", before.dryEpisodes, before.dryHours),
    rate("dry", "after", after.dryEpisodes, after.dryHours),
  ];
}

/** Bars of the rates with their intervals as lines; a span without hours has no bar rather than a bar of zero. */
export function beforeAfterOption(rates: readonly SpanRate[], tokens: Tokens): ChartOption {
  const names = rates.map(
    (r) => `${r.array}, ${r.when}: ${r.rate === null ? BEFORE_AFTER_OPTION.noHours : r.rate.toFixed(1)}`,
  );
  return {
    animation: false,
    aria: { enabled: true },
    grid: { left: 130, right: 30, top: 6, bottom: 40 },
    xAxis: {
      type: "value",
      min: 0,
      name: BEFORE_AFTER_OPTION.groundFaultsPerUnit,
      nameLocation: "middle",
      nameGap: 26,
      axisLabel: { color: tokens.soft },
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
    series: [
      {
        type: "bar",
        name: "rate",
        barMaxWidth: 16,
        data: rates.map((r) => ({
          value: r.rate ?? "-",
          // Pale, so that the interval over it is seen without colour too.
          itemStyle: { color: r.array === "wet" ? tokens.water : tokens.soft, opacity: 0.55 },
        })),
      },
      ...rates.flatMap((r, i) =>
        r.low === null || r.high === null
          ? []
          : [
              {
                type: "line" as const,
                name: "interval",
                silent: true,
                symbol: "rect",
                symbolSize: [2, 10],
                data: [
                  [r.low, names[i] as string],
                  [r.high, names[i] as string],
                ],
                itemStyle: { color: tokens.ink },
                lineStyle: { color: tokens.ink, width: 2 },
              },
            ],
      ),
    ],
  };
}
