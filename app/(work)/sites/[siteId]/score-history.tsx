"use client";

import { useCallback } from "react";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import { historyOption } from "@/app/_ui/chart/history-option.ts";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { Figure } from "@/app/_ui/figure.tsx";
import { banded, decibanText, words, zonedTime } from "@/app/_ui/format.ts";
import { PhoneFold } from "@/app/_ui/phone-fold.tsx";
import { Sentence } from "@/app/_ui/units.tsx";
import { When } from "@/app/_ui/when.tsx";
import { SCORE_HISTORY } from "@/app/_words/site-history.ts";
import type { SiteView } from "@/lib/reads/site-view.ts";

const signed = (decibans: number) => `${decibans > 0 ? "+" : ""}${decibanText(decibans)}`;

/** How the probability moved from score to score, and which evidence moved it. */
export function ScoreHistory({ history, zone }: { history: SiteView["history"]; zone: string }) {
  const build = useCallback((tokens: Tokens) => historyOption(history, tokens, zone), [history, zone]);
  const moved = history.flatMap((h, i) => (h.moved ? [{ ...h, row: i }] : [])).toReversed();
  return (
    <section aria-label={SCORE_HISTORY.historyOfItsProbability}>
      <PhoneFold title={SCORE_HISTORY.historyOfItsProbability}>
        {history.length < 2 ? (
          <p className="soft">{SCORE_HISTORY.oneScoreSoFar}</p>
        ) : (
          <ChartFrame
            name="history"
            title={SCORE_HISTORY.probabilityOfABonding}
            says={SCORE_HISTORY.theLineIsThe}
            build={build}
            table={{
              workingOf: (row) => (history[row]?.moved ? `score-${row}` : "score-older"),
              head: [SCORE_HISTORY.computed, SCORE_HISTORY.recordsUpTo, SCORE_HISTORY.bondingDefect],
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
            {h.moved?.program ? <p className="soft">{SCORE_HISTORY.theParametersOrThe}</p> : null}
            {h.moved?.moves.length === 0 ? <p>{SCORE_HISTORY.noEvidenceMovedEnough}</p> : null}
            <ul>
              {h.moved?.moves.map((move) => (
                <li key={move.source}>
                  <Figure of={`moved-${h.row}`}>
                    {SCORE_HISTORY.decibansFrom(signed(move.decibans), words(move.source))}{" "}
                    <Sentence says={move.says} />
                  </Figure>
                </li>
              ))}
              {h.moved && Math.abs(h.moved.rest) >= 0.05 ? (
                <li>
                  <Figure of={`moved-${h.row}`}>{SCORE_HISTORY.decibansFromAllElse(signed(h.moved.rest))}</Figure>
                </li>
              ) : null}
            </ul>
          </div>
        ))}
      </PhoneFold>
    </section>
  );
}
