"use client";

import { useCallback } from "react";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import { evidenceHeight, evidenceOption } from "@/app/_ui/chart/evidence-option.ts";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { decibanText } from "@/app/_ui/format.ts";
import type { SiteScore } from "@/lib/reads/documents.ts";

export function EvidenceChart({ evidence }: { evidence: SiteScore["evidence"] }) {
  const build = useCallback((tokens: Tokens) => evidenceOption(evidence, tokens), [evidence]);
  const sum = evidence.reduce((total, e) => total + e.decibans, 0);
  return (
    <ChartFrame
      name="evidence"
      title="Evidence for and against a bonding or grounding defect, decibans"
      says="A bar to the right speaks for a defect, one to the left against it; its length is how much, and the items stand in the order in which they were weighed."
      build={build}
      heightPx={evidenceHeight(evidence.length)}
      table={{
        open: true,
        note: "Decibans depend on the order in which items are weighed. “If left out” does not: it is what the belief would lose without that item alone.",
        head: ["Source", "Decibans", "If left out", "What it says"],
        wordColumns: [3],
        workingOf: (row, column) => (column === 2 ? "without" : `evidence-${row}`),
        footWorking: "sum",
        rows: evidence.map((e) => [
          e.source,
          decibanText(e.decibans),
          e.without_decibans === undefined ? "" : decibanText(e.without_decibans),
          e.says,
        ]),
        foot: ["Sum", sum.toFixed(1), "", "the odds of a bonding or grounding defect, as a logarithm"],
        file: {
          head: ["source", "decibans", "decibans_if_left_out", "says"],
          rows: evidence.map((e) => [e.source, e.decibans, e.without_decibans ?? null, e.says]),
        },
      }}
    />
  );
}
