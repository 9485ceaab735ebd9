"use client";

import { useCallback } from "react";
import { ChartWithTable } from "@/app/_ui/chart/chart-with-table.tsx";
import { exceedanceOption } from "@/app/_ui/chart/exceedance-option.ts";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { money } from "@/app/_ui/format.ts";
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
    <ChartWithTable
      name="exceedance"
      says={`Read across from a chance to the loss that the coming year exceeds with it: one year in a hundred costs more than ${money(worst?.value_at_risk.value ?? null, currency)}, net of what contracts may pay. Diamonds mark value at risk.`}
      build={build}
      head={["Chance of more", "Net loss of the year"]}
      rows={rows}
      heightPx={320}
    />
  );
}
