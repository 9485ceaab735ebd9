"use client";

import { useCallback } from "react";
import { barsOption } from "@/app/_ui/chart/bars-option.ts";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { trendOption } from "@/app/_ui/chart/trend-option.ts";
import { RainStripChart } from "@/app/_ui/rain-strip-chart.tsx";

const HOURS = ["6", "9", "12", "15", "18"];
const BEFORE = [4, 2, 1, 3, 5];
const AFTER = [0, 4, 6, 4, 1];
const MONTHS = [
  { month: "2026-09", expected_defects: 14.2, low: 9.1, high: 20.3 },
  { month: "2026-10", expected_defects: 12.6, low: 8.4, high: 18 },
];
const STRIP = {
  endDay: "2026-10-31",
  rainMm: Array.from({ length: 365 }, (_, d) => (d % 11 === 0 ? d % 17 : d > 200 && d < 215 ? null : 0)),
  dewHours: Array.from({ length: 365 }, (_, d) => (d % 7 === 0 ? 3 : 0)),
  onsets: Array.from({ length: 365 }, (_, d) => (d % 22 === 1 ? 1 : 0)),
};

/** One of each kind of picture, on invented numbers. */
export function SampleCharts() {
  const bars = useCallback(
    (tokens: Tokens) =>
      barsOption(
        {
          categories: HOURS,
          xName: "hour of the solar day",
          yName: "onsets",
          series: [
            { name: "as the times stand", values: BEFORE, token: "soft" },
            { name: "if corrected", values: AFTER, token: "water" },
          ],
        },
        tokens,
      ),
    [],
  );
  const trend = useCallback((tokens: Tokens) => trendOption(MONTHS, tokens), []);
  return (
    <div className="pair">
      <ChartFrame
        name="sample-bars"
        title="Sample of bars"
        says="The second kind of bar is hatched, so that the two are told apart in grey."
        build={bars}
        table={{
          head: ["Hour", "As the times stand", "If corrected"],
          rows: HOURS.map((h, k) => [h, String(BEFORE[k]), String(AFTER[k])]),
        }}
      />
      <ChartFrame
        name="sample-trend"
        title="Sample of a trend"
        says="A mark with its interval for each month."
        build={trend}
        table={{ head: ["Month", "Expected"], rows: MONTHS.map((m) => [m.month, m.expected_defects.toFixed(1)]) }}
      />
      <RainStripChart strip={STRIP} />
    </div>
  );
}
