"use client";

import { useCallback, useMemo } from "react";
import { beforeAfterOption, ratesOf } from "@/app/_ui/chart/before-after-option.ts";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { BEFORE_AFTER } from "@/app/_words/site-history.ts";
import type { FixLine } from "@/lib/reads/fixes-view.ts";

const rateText = (rate: number | null) => (rate === null ? BEFORE_AFTER.noHours : rate.toFixed(1));

/** Ground faults per 1000 unit-hours before and after the repair, wet and dry. */
export function BeforeAfter({ fix }: { fix: FixLine }) {
  const rates = useMemo(() => ratesOf(fix.before, fix.after), [fix]);
  const build = useCallback((tokens: Tokens) => beforeAfterOption(rates, tokens), [rates]);
  return (
    <ChartFrame
      name="before-after"
      title={BEFORE_AFTER.groundFaultsPerUnit}
      says={BEFORE_AFTER.ratesWithTheArray}
      build={build}
      heightPx={180}
      isNarrow
      table={{
        head: [
          BEFORE_AFTER.array,
          BEFORE_AFTER.when,
          BEFORE_AFTER.groundFaults,
          BEFORE_AFTER.unitHours,
          BEFORE_AFTER.perH,
        ],
        wordColumns: [1],
        rows: rates.map((r) => [
          r.array,
          r.when,
          String(r.episodes),
          Math.round(r.hours).toLocaleString("en-US"),
          rateText(r.rate) + (r.rate === null ? "" : ` (${rateText(r.low)} to ${rateText(r.high)})`),
        ]),
        file: {
          head: ["array", "span", "ground_faults", "unit_hours", "per_1000_h", "low_95", "high_95"],
          rows: rates.map((r) => [r.array, r.when, r.episodes, r.hours, r.rate, r.low, r.high]),
        },
      }}
    />
  );
}
