"use client";

import { useCallback } from "react";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import { reliabilityOption } from "@/app/_ui/chart/reliability-option.ts";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import type { ReliabilityBin } from "@/lib/diagnose/calibration.ts";

const foundText = (b: ReliabilityBin) =>
  b.found === null ? "–" : `${b.found.toFixed(2)} (${b.low.toFixed(2)} to ${b.high.toFixed(2)})`;

export function ReliabilityChart({ bins }: { bins: ReliabilityBin[] }) {
  const build = useCallback((tokens: Tokens) => reliabilityOption(bins, tokens), [bins]);
  return (
    <ChartFrame
      name="reliability"
      title="Share found against stated probability"
      says="A mark on the dashed line agrees. The bar is the 95 % interval of what was found; a diamond lies off its interval."
      build={build}
      heightPx={380}
      isNarrow
      table={{
        head: ["Stated", "Outcomes", "Mean", "Found", "Agrees"],
        wordColumns: [4],
        rows: bins.map((b) => [
          `${b.from.toFixed(1)}–${b.to.toFixed(1)}`,
          String(b.trials),
          b.stated === null ? "–" : b.stated.toFixed(2),
          foundText(b),
          b.agrees === null ? "no outcome" : b.agrees ? "yes" : "no",
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
