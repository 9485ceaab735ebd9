"use client";

import { useCallback } from "react";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import { evidenceHeight, evidenceOption } from "@/app/_ui/chart/evidence-option.ts";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { decibanText } from "@/app/_ui/format.ts";
import { EVIDENCE_CHART } from "@/app/_words/site-evidence.ts";
import type { SiteScore } from "@/lib/reads/documents.ts";

/** What moves the odds by less is shown on a phone when asked. */
const LITTLE_DECIBANS = 1;

export function EvidenceChart({ evidence }: { evidence: SiteScore["evidence"] }) {
  const build = useCallback((tokens: Tokens) => evidenceOption(evidence, tokens), [evidence]);
  const sum = evidence.reduce((total, e) => total + e.decibans, 0);
  return (
    <ChartFrame
      name="evidence"
      title={EVIDENCE_CHART.evidenceForAndAgainst}
      says={EVIDENCE_CHART.aBarToThe}
      build={build}
      heightPx={evidenceHeight(evidence.length)}
      table={{
        open: true,
        note: EVIDENCE_CHART.decibansDependOnThe,
        head: [EVIDENCE_CHART.source, EVIDENCE_CHART.decibans, EVIDENCE_CHART.ifLeftOut, EVIDENCE_CHART.whatItSays],
        wordColumns: [3],
        later: (row) => Math.abs(evidence[row]?.decibans ?? 0) < LITTLE_DECIBANS,
        workingOf: (row, column) => (column === 2 ? "without" : `evidence-${row}`),
        footWorking: "sum",
        rows: evidence.map((e) => [
          e.source,
          decibanText(e.decibans),
          e.without_decibans === undefined ? "" : decibanText(e.without_decibans),
          e.says,
        ]),
        foot: [EVIDENCE_CHART.sum, sum.toFixed(1), "", EVIDENCE_CHART.theOddsOfA],
        file: {
          head: ["source", "decibans", "decibans_if_left_out", "says"],
          rows: evidence.map((e) => [e.source, e.decibans, e.without_decibans ?? null, e.says]),
        },
      }}
    />
  );
}
