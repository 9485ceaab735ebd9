"use client";

import { useCallback } from "react";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import { reliabilityOption } from "@/app/_ui/chart/reliability-option.ts";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { RELIABILITY_CHART } from "@/app/_words/calibration.ts";
import type { ReliabilityBin } from "@/lib/diagnose/calibration.ts";

const foundText = (b: ReliabilityBin) =>
  b.found === null ? "–" : `${b.found.toFixed(2)} (${b.low.toFixed(2)} to ${b.high.toFixed(2)})`;

export function ReliabilityChart({ bins }: { bins: ReliabilityBin[] }) {
  const build = useCallback((tokens: Tokens) => reliabilityOption(bins, tokens), [bins]);
  return (
    <ChartFrame
      name="reliability"
      title={RELIABILITY_CHART.shareFoundAgainstStated}
      says={RELIABILITY_CHART.aMarkOnThe}
      build={build}
      heightPx={380}
      isNarrow
      table={{
        head: [
          RELIABILITY_CHART.stated,
          RELIABILITY_CHART.outcomes,
          RELIABILITY_CHART.mean,
          RELIABILITY_CHART.found,
          RELIABILITY_CHART.agrees,
        ],
        wordColumns: [4],
        rows: bins.map((b) => [
          `${b.from.toFixed(1)}–${b.to.toFixed(1)}`,
          String(b.trials),
          b.stated === null ? "–" : b.stated.toFixed(2),
          foundText(b),
          b.agrees === null ? RELIABILITY_CHART.noOutcome : b.agrees ? "yes" : "no",
        ]),
        file: {
          head: ["stated_from", "stated_to", "outcomes", "stated_mean", "found_share", "found_low", "found_high"],
          rows: bins.map((b) => [
            ...[b.from, b.to, b.trials, b.stated, b.found],
            ...(b.found === null ? [null, null] : [b.low, b.high]),
          ]),
        },
      }}
    />
  );
}
