"use client";

import { useCallback } from "react";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import { historyOption } from "@/app/_ui/chart/history-option.ts";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { banded, decibanText, words } from "@/app/_ui/format.ts";
import { When } from "@/app/_ui/when.tsx";
import type { SiteView } from "@/lib/reads/site-view.ts";

const minute = (iso: string) => iso.slice(0, 16).replace("T", " ");
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
        <ChartFrame
          name="history"
          title="Probability of a bonding or grounding defect, score by score"
          says="The line is the probability of a bonding or grounding defect after each score, the band its 5 % to 95 % range. A narrowing band means that more is known, not that less is wrong."
          build={build}
          table={{
            head: ["Computed, UTC", "Records up to, UTC", "Bonding defect"],
            rows: history.map((h) => [minute(h.computedAt), minute(h.asOf), banded(h)]),
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
          : {banded(h)}
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
