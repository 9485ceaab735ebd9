"use client";

import { useCallback } from "react";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import { lagOption } from "@/app/_ui/chart/lag-option.ts";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import type { LagCurve } from "@/lib/correlate/lag-curve.ts";

function lagSays({ envelope, peakLag }: LagCurve): string {
  const how =
    "How much wetter than usual for the hour and month it was before and after the onsets. A peak at 0 with a slow tail is water on the surface, one some hours to the right is water that creeps in, one to the left can only be a clock that is wrong.";
  if (envelope === null) return `${how} Too few days to say what chance would give.`;
  if (peakLag === null) return `${how} Here no lag rises above what chance alone gives.`;
  return `${how} Here the peak lies at ${peakLag} h, above what chance gives at any lag.`;
}

export function LagChart({ lag }: { lag: LagCurve }) {
  const build = useCallback((tokens: Tokens) => lagOption(lag, tokens), [lag]);
  return (
    <section aria-label="Wetness around the onsets">
      <h3>Wetness around the onsets</h3>
      <ChartFrame
        name="lag"
        title="Wetness around the onsets"
        says={lagSays(lag)}
        build={build}
        table={{
          head: ["Hours before", "Excess", "Log rate ratio"],
          rows: lag.lags.map((l, k) => [
            String(l),
            lag.excess[k]?.toFixed(2) ?? "not known",
            lag.logRatio[k]?.toFixed(2) ?? "not known",
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
