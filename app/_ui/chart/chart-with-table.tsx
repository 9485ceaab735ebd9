"use client";

import { useMemo, useRef } from "react";
import { Wide } from "../wide.tsx";
import { type Tokens, useTokens } from "./tokens.ts";
import { type ChartOption, useEChart } from "./use-echart.ts";

interface Props {
  name: string;
  /** One sentence: what it shows and how it is read. */
  says: string;
  build: (tokens: Tokens) => ChartOption;
  head: readonly string[];
  rows: readonly (readonly string[])[];
  heightPx?: number;
}

/** A chart with the sentence that explains it and its numbers as a table. `build` must be stable between renders. */
export function ChartWithTable({ name, says, build, head, rows, heightPx = 260 }: Props) {
  const ref = useRef<HTMLDivElement>(null);
  const tokens = useTokens();
  const option = useMemo(() => build(tokens), [build, tokens]);
  useEChart(ref, option);
  return (
    <>
      <p className="soft">{says}</p>
      <div ref={ref} className="chart" data-height={heightPx} data-chart={name} />
      <details>
        <summary>The same as a table</summary>
        <Wide label={`${name} as a table`}>
          <table>
            <thead>
              <tr>
                {head.map((h, k) => (
                  <th key={h} scope="col" className={k > 0 ? "num" : undefined}>
                    {h}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {rows.map((row) => (
                <tr key={row[0]}>
                  {row.map((cell, k) => (
                    <td key={head[k]} className={k > 0 ? "num" : undefined}>
                      {cell}
                    </td>
                  ))}
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      </details>
    </>
  );
}
