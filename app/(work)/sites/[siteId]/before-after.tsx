"use client";

import { useMemo, useRef } from "react";
import { beforeAfterOption, ratesOf } from "@/app/_ui/chart/before-after-option.ts";
import { useTokens } from "@/app/_ui/chart/tokens.ts";
import { useEChart } from "@/app/_ui/chart/use-echart.ts";
import type { FixLine } from "@/lib/reads/fixes-view.ts";

const rateText = (rate: number | null) => (rate === null ? "no hours" : rate.toFixed(1));

/** Ground faults per 1000 unit-hours before and after the repair, wet and dry. */
export function BeforeAfter({ fix }: { fix: FixLine }) {
  const ref = useRef<HTMLDivElement>(null);
  const tokens = useTokens();
  const rates = useMemo(() => ratesOf(fix.before, fix.after), [fix]);
  const option = useMemo(() => beforeAfterOption(rates, tokens), [rates, tokens]);
  useEChart(ref, option);
  return (
    <>
      <div
        ref={ref}
        className="chart narrow"
        data-height={180}
        data-chart="before-after"
        role="img"
        aria-label="Ground faults per 1000 unit-hours before and after the repair; the same is in the table below"
      />
      <details>
        <summary>The same as a table</summary>
        <table>
          <thead>
            <tr>
              <th scope="col">Array</th>
              <th scope="col">When</th>
              <th scope="col" className="num">
                Ground faults
              </th>
              <th scope="col" className="num">
                Unit-hours
              </th>
              <th scope="col" className="num">
                Per 1000 h (95 %)
              </th>
            </tr>
          </thead>
          <tbody>
            {rates.map((r) => (
              <tr key={`${r.array}/${r.when}`}>
                <th scope="row">{r.array}</th>
                <td>{r.when}</td>
                <td className="num">{r.episodes}</td>
                <td className="num">{Math.round(r.hours).toLocaleString("en-US")}</td>
                <td className="num">
                  {rateText(r.rate)}
                  {r.rate === null ? "" : ` (${rateText(r.low)} to ${rateText(r.high)})`}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </details>
    </>
  );
}
