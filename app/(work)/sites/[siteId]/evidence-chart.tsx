"use client";

import { useMemo, useRef } from "react";
import { evidenceHeight, evidenceOption } from "@/app/_ui/chart/evidence-option.ts";
import { useTokens } from "@/app/_ui/chart/tokens.ts";
import { useEChart } from "@/app/_ui/chart/use-echart.ts";
import { decibanText } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { SiteScore } from "@/lib/reads/documents.ts";

export function EvidenceChart({ evidence }: { evidence: SiteScore["evidence"] }) {
  const ref = useRef<HTMLDivElement>(null);
  const tokens = useTokens();
  const option = useMemo(() => evidenceOption(evidence, tokens), [evidence, tokens]);
  useEChart(ref, option);
  const sum = evidence.reduce((total, e) => total + e.decibans, 0);
  return (
    <>
      <div ref={ref} className="chart" data-height={evidenceHeight(evidence.length)} data-chart="evidence" />
      <details open>
        <summary>The same as a table</summary>
        <p className="soft">
          Decibans depend on the order in which items are weighed. “If left out” does not: it is what the belief would
          lose without that item alone.
        </p>
        <Wide label="Evidence as a table">
          <table data-evidence>
            <thead>
              <tr>
                <th scope="col" className="num">
                  Decibans
                </th>
                <th scope="col" className="num">
                  If left out
                </th>
                <th scope="col">Source</th>
                <th scope="col">What it says</th>
              </tr>
            </thead>
            <tbody>
              {evidence.map((e) => (
                <tr key={`${e.source}/${e.says}`}>
                  <td className="num">{decibanText(e.decibans)}</td>
                  <td className="num">{e.without_decibans === undefined ? "" : decibanText(e.without_decibans)}</td>
                  <td>{e.source}</td>
                  <td>{e.says}</td>
                </tr>
              ))}
            </tbody>
            <tfoot>
              <tr>
                <td className="num">
                  <strong>{sum.toFixed(1)}</strong>
                </td>
                <td />
                <td colSpan={2}>Sum: 10 log10 of the odds of a bonding or grounding defect</td>
              </tr>
            </tfoot>
          </table>
        </Wide>
      </details>
    </>
  );
}
