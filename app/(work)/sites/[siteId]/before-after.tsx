"use client";

import { useCallback, useMemo } from "react";
import { beforeAfterOption, ratesOf } from "@/app/_ui/chart/before-after-option.ts";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import type { FixLine } from "@/lib/reads/fixes-view.ts";

const rateText = (rate: number | null) => (rate === null ? "no hours" : rate.toFixed(1));

/** Ground faults per 1000 unit-hours before and after the repair, wet and dry. */
export function BeforeAfter({ fix }: { fix: FixLine }) {
  const rates = useMemo(() => ratesOf(fix.before, fix.after), [fix]);
  const build = useCallback((tokens: Tokens) => beforeAfterOption(rates, tokens), [rates]);
  return (
    <ChartFrame
      name="before-after"
      title="Ground faults per 1000 unit-hours before and after the repair"
      says="Rates with the array wet and dry, before and after; the line across each bar is its 95 % interval. A bond that held brings the wet rate down to the dry one; a span without hours at risk has no bar."
      build={build}
      heightPx={180}
      isNarrow
      table={{
        head: ["Array", "When", "Ground faults", "Unit-hours", "Per 1000 h (95 %)"],
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
