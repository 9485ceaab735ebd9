"use client";

import { useCallback } from "react";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { trendOption } from "@/app/_ui/chart/trend-option.ts";
import { TREND } from "@/app/_words/exposure.ts";
import type { BookResult } from "@/lib/reads/exposure-stored.ts";

/** Expected defects at the last score of each month. */
export function Trend({ trend }: { trend: BookResult["trend"] }) {
  const build = useCallback((tokens: Tokens) => trendOption(trend, tokens), [trend]);
  const young = trend.length < 2 ? TREND.thereIsOneMonth : "";
  return (
    <>
      <h2>{TREND.trend}</h2>
      <ChartFrame
        name="trend"
        title={TREND.sitesExpectedToHave}
        says={TREND.fromEachSitesLast(young)}
        build={build}
        heightPx={240}
        table={{
          head: [TREND.month, TREND.sitesScored, TREND.defectsExpectedTo],
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
