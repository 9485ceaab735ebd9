"use client";

import { useCallback } from "react";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import { lagOption } from "@/app/_ui/chart/lag-option.ts";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { LAG_CHART } from "@/app/_words/site-weather.ts";
import type { LagCurve } from "@/lib/correlate/lag-curve.ts";

function lagSays({ envelope, peakLag }: LagCurve): string {
  const how = LAG_CHART.howMuchWetterThan;
  if (envelope === null) return LAG_CHART.tooFewDaysTo(how);
  if (peakLag === null) return LAG_CHART.hereNoLagRises(how);
  return LAG_CHART.hereThePeakLies(how, peakLag);
}

export function LagChart({ lag }: { lag: LagCurve }) {
  const build = useCallback((tokens: Tokens) => lagOption(lag, tokens), [lag]);
  return (
    <section aria-label={LAG_CHART.wetnessAroundTheOnsets}>
      <h3>{LAG_CHART.wetnessAroundTheOnsets}</h3>
      <ChartFrame
        name="lag"
        title={LAG_CHART.wetnessAroundTheOnsets}
        says={lagSays(lag)}
        build={build}
        table={{
          head: [LAG_CHART.hoursBefore, LAG_CHART.excess, LAG_CHART.logRateRatio],
          rows: lag.lags.map((l, k) => [
            String(l),
            lag.excess[k]?.toFixed(2) ?? LAG_CHART.notKnown,
            lag.logRatio[k]?.toFixed(2) ?? LAG_CHART.notKnown,
          ]),
          file: {
            head: ["hours_before_onset", "excess_standard_units", "log_rate_ratio"],
            rows: lag.lags.map((l, k) => [l, lag.excess[k] ?? null, lag.logRatio[k] ?? null]),
          },
        }}
      />
    </section>
  );
}
