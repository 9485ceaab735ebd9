"use client";

import { useMemo, useRef } from "react";
import { reliabilityOption } from "@/app/_ui/chart/reliability-option.ts";
import { useTokens } from "@/app/_ui/chart/tokens.ts";
import { useEChart } from "@/app/_ui/chart/use-echart.ts";
import type { ReliabilityBin } from "@/lib/diagnose/calibration.ts";

export function ReliabilityChart({ bins }: { bins: ReliabilityBin[] }) {
  const ref = useRef<HTMLDivElement>(null);
  const tokens = useTokens();
  const option = useMemo(() => reliabilityOption(bins, tokens), [bins, tokens]);
  useEChart(ref, option);
  return (
    <>
      <p className="soft">
        A mark on the dashed line agrees. The bar is the 95 % interval of what was found; a diamond lies off its
        interval.
      </p>
      <div
        ref={ref}
        className="chart narrow"
        data-height={380}
        data-chart="reliability"
        role="img"
        aria-label="Share found against stated probability; the same is in the table below"
      />
      <details>
        <summary>The same as a table</summary>
        <table>
          <thead>
            <tr>
              <th scope="col">Stated</th>
              <th scope="col" className="num">
                Outcomes
              </th>
              <th scope="col" className="num">
                Mean
              </th>
              <th scope="col" className="num">
                Found
              </th>
              <th scope="col">Agrees</th>
            </tr>
          </thead>
          <tbody>
            {bins.map((b) => (
              <tr key={b.from}>
                <th scope="row">
                  {b.from.toFixed(1)}–{b.to.toFixed(1)}
                </th>
                <td className="num">{b.trials}</td>
                <td className="num">{b.stated === null ? "–" : b.stated.toFixed(2)}</td>
                <td className="num">
                  {b.found === null ? "–" : `${b.found.toFixed(2)} (${b.low.toFixed(2)} to ${b.high.toFixed(2)})`}
                </td>
                <td>{b.agrees === null ? "no outcome" : b.agrees ? "yes" : "no"}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </details>
    </>
  );
}
