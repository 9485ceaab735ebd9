"use client";

import { useCallback } from "react";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import { exceedanceOption } from "@/app/_ui/chart/exceedance-option.ts";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { money } from "@/app/_ui/format.ts";
import { EXCEEDANCE_CHART } from "@/app/_words/exposure.ts";
import type { BookResult } from "@/lib/reads/exposure-stored.ts";

/** How likely the coming year is to cost more than a sum. */
export function ExceedanceChart({ book, currency }: { book: BookResult; currency: string }) {
  const build = useCallback(
    (tokens: Tokens) =>
      exceedanceOption(
        {
          currency,
          curve: book.curve,
          marks: book.tail.map((t) => ({ level: t.level, loss: t.value_at_risk.value })),
        },
        tokens,
      ),
    [book, currency],
  );
  const worst = book.tail.at(-1);
  const rows = book.curve
    .filter((_, i) => i % 4 === 0 || i === book.curve.length - 1)
    .map((p) => [`${Number((100 * p.probability).toPrecision(2))} %`, money(p.loss, currency)]);
  return (
    <ChartFrame
      name="exceedance"
      title={EXCEEDANCE_CHART.chanceThatTheComing(currency)}
      says={EXCEEDANCE_CHART.readAcrossFromA(money(worst?.value_at_risk.value ?? null, currency))}
      build={build}
      table={{
        head: [EXCEEDANCE_CHART.chanceOfMore, EXCEEDANCE_CHART.netLossOfThe],
        rows,
        file: {
          head: ["chance_of_more", `net_loss_of_the_year_${currency.toLowerCase()}`],
          rows: book.curve.map((p) => [p.probability, p.loss]),
        },
      }}
      heightPx={320}
    />
  );
}
