"use client";

import { useCallback } from "react";
import { ChartWithTable } from "@/app/_ui/chart/chart-with-table.tsx";
import { historyOption } from "@/app/_ui/chart/history-option.ts";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { banded, decibanText, utcTime, words } from "@/app/_ui/format.ts";
import type { SiteView } from "@/lib/reads/site-view.ts";

const signed = (decibans: number) => `${decibans > 0 ? "+" : ""}${decibanText(decibans)}`;

/** How the probability moved from score to score, and which evidence moved it. */
export function ScoreHistory({ history }: { history: SiteView["history"] }) {
  const build = useCallback((tokens: Tokens) => historyOption(history, tokens), [history]);
  const moved = history.filter((h) => h.moved).toReversed();
  return (
    <section aria-label="History of its probability">
      <h2>History of its probability</h2>
      {history.length < 2 ? (
        <p className="soft">
          One score so far; the next import, inspection or visit that tells something adds another.
        </p>
      ) : (
        <ChartWithTable
          name="history"
          says="The line is the probability of a bonding or grounding defect after each score, the band its 5 % to 95 % range. A narrowing band means that more is known, not that less is wrong."
          build={build}
          head={["Computed", "Records up to", "Bonding defect"]}
          rows={history.map((h) => [utcTime(h.computedAt), utcTime(h.asOf), banded(h)])}
          heightPx={220}
        />
      )}
      {moved.map((h) => (
        <div key={h.computedAt} className="note">
          <strong>{utcTime(h.computedAt)}</strong>: {banded(h)}
          {h.moved?.program ? (
            <p className="soft">The parameters or the program changed too, so not all of it is news of this site.</p>
          ) : null}
          {h.moved?.moves.length === 0 ? <p>No evidence moved by as much as 0.05 decibans.</p> : null}
          <ul>
            {h.moved?.moves.map((move) => (
              <li key={move.source}>
                {signed(move.decibans)} decibans from {words(move.source)}: {move.says}
              </li>
            ))}
            {h.moved && Math.abs(h.moved.rest) >= 0.05 ? <li>{signed(h.moved.rest)} decibans from all else</li> : null}
          </ul>
        </div>
      ))}
    </section>
  );
}
