"use client";

import { useCallback } from "react";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import { historyOption } from "@/app/_ui/chart/history-option.ts";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { Figure } from "@/app/_ui/figure.tsx";
import { banded, decibanText, words, zonedTime } from "@/app/_ui/format.ts";
import { Sentence } from "@/app/_ui/units.tsx";
import { When } from "@/app/_ui/when.tsx";
import type { SiteView } from "@/lib/reads/site-view.ts";

const signed = (decibans: number) => `${decibans > 0 ? "+" : ""}${decibanText(decibans)}`;

/** How the probability moved from score to score, and which evidence moved it. */
export function ScoreHistory({ history, zone }: { history: SiteView["history"]; zone: string }) {
  const build = useCallback((tokens: Tokens) => historyOption(history, tokens, zone), [history, zone]);
  const moved = history.flatMap((h, i) => (h.moved ? [{ ...h, row: i }] : [])).toReversed();
  return (
    <section aria-label="History of its probability">
      <h2>History of its probability</h2>
      {history.length < 2 ? (
        <p className="soft">
          One score so far; the next import, inspection or visit that tells something adds another.
        </p>
      ) : (
        <ChartFrame
          name="history"
          title="Probability of a bonding or grounding defect, score by score"
          says="The line is the probability of a bonding or grounding defect after each score, the shaded part its band. A narrowing band means that more is known, not that less is wrong."
          build={build}
          table={{
            workingOf: (row) => (history[row]?.moved ? `score-${row}` : "score-older"),
            head: ["Computed", "Records up to", "Bonding defect"],
            rows: history.map((h) => [zonedTime(h.computedAt, zone), zonedTime(h.asOf, zone), banded(h)]),
            file: {
              head: ["computed_at", "records_up_to", "p", "low", "high"],
              rows: history.map((h) => [h.computedAt, h.asOf, h.p, h.low, h.high]),
            },
          }}
          heightPx={220}
        />
      )}
      {moved.map((h) => (
        <div key={h.computedAt} className="note">
          <strong>
            <When at={h.computedAt} />
          </strong>
          : <Figure of={`score-${h.row}`}>{banded(h)}</Figure>
          {h.moved?.program ? (
            <p className="soft">The parameters or the program changed too, so not all of it is news of this site.</p>
          ) : null}
          {h.moved?.moves.length === 0 ? <p>No evidence moved enough to be named.</p> : null}
          <ul>
            {h.moved?.moves.map((move) => (
              <li key={move.source}>
                <Figure of={`moved-${h.row}`}>
                  {signed(move.decibans)} decibans from {words(move.source)}: <Sentence says={move.says} />
                </Figure>
              </li>
            ))}
            {h.moved && Math.abs(h.moved.rest) >= 0.05 ? (
              <li>
                <Figure of={`moved-${h.row}`}>{signed(h.moved.rest)} decibans from all else</Figure>
              </li>
            ) : null}
          </ul>
        </div>
      ))}
    </section>
  );
}
