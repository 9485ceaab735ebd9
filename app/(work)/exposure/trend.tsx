"use client";

import { useCallback } from "react";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { trendOption } from "@/app/_ui/chart/trend-option.ts";
import type { BookResult } from "@/lib/reads/exposure-stored.ts";

/** Expected defects at the last score of each month. */
export function Trend({ trend }: { trend: BookResult["trend"] }) {
  const build = useCallback((tokens: Tokens) => trendOption(trend, tokens), [trend]);
  const young = trend.length < 2 ? " There is one month of scores so far; the trend begins with the next." : "";
  return (
    <>
      <h2>Trend</h2>
      <ChartFrame
        name="trend"
        title="Sites expected to have a bonding or grounding defect, by month"
        says={`From each site's last score of the month. The line across each mark runs from its 5 % to its 95 % point.${young}`}
        build={build}
        heightPx={240}
        table={{
          head: ["Month", "Sites scored", "Defects expected (5 % to 95 %)"],
          rows: trend.map((m) => [
            m.month,
            String(m.sites),
            `${m.expected_defects.toFixed(1)} (${m.low.toFixed(1)} to ${m.high.toFixed(1)})`,
          ]),
          file: {
            head: ["month", "sites_scored", "defects_expected", "low_5", "high_95"],
            rows: trend.map((m) => [m.month, m.sites, m.expected_defects, m.low, m.high]),
          },
        }}
      />
    </>
  );
}
