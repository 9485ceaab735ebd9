import type { ReactNode } from "react";
import { banded, decibanText, words } from "@/app/_ui/format.ts";
import { Probability } from "@/app/_ui/probability.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { WHAT_IF_RESULT } from "@/app/_words/site-evidence.ts";
import { CAUSES } from "@/lib/core/records.ts";
import type { WhatIfView } from "@/lib/reads/what-if-view.ts";

const MOST_CAUSES = 5;

/** The belief now and with the findings set, side by side. */
export function WhatIfResult({ view: { before, after } }: { view: WhatIfView }) {
  const moved = CAUSES.map((cause) => ({
    cause,
    from: { p: before.causes[cause], ...before.causeBands[cause] },
    to: { p: after.causes[cause], ...after.causeBands[cause] },
  }))
    .sort((a, b) => Math.abs(b.to.p - b.from.p) - Math.abs(a.to.p - a.from.p))
    .slice(0, MOST_CAUSES);
  const total = (source: string, side: typeof before) =>
    side.evidence.filter((e) => e.source === source).reduce((sum, e) => sum + e.decibans, 0);
  const sources = [...new Set([...before.evidence, ...after.evidence].map((e) => e.source))];
  const rows: [string, ReactNode, ReactNode][] = [
    [
      WHAT_IF_RESULT.bondingOrGroundingDefect,
      <Probability key="now" value={before.bonding} />,
      <Probability key="then" value={after.bonding} />,
    ],
    [
      WHAT_IF_RESULT.metalThatMayBe,
      <Probability key="now" value={before.energized} />,
      <Probability key="then" value={after.energized} />,
    ],
    [
      WHAT_IF_RESULT.urgency,
      <Urgency key="now" value={before.urgency} />,
      <Urgency key="then" value={after.urgency} />,
    ],
    ...moved.map(({ cause, from, to }): [string, string, string] => [
      WHAT_IF_RESULT.byItself(words(cause)),
      banded(from),
      banded(to),
    ]),
    ...sources
      .filter((source) => Math.abs(total(source, after) - total(source, before)) >= 0.05)
      .map((source): [string, string, string] => [
        WHAT_IF_RESULT.evidenceDecibans(source),
        decibanText(total(source, before)),
        decibanText(total(source, after)),
      ]),
  ];
  return (
    <Table
      label={WHAT_IF_RESULT.beliefNowAndThen}
      phone="cards"
      className="ranked"
      data={{ "data-what-if-result": true }}
      columns={[
        { name: WHAT_IF_RESULT.ofTheSite, head: true, className: "site", cell: ([name]) => name },
        { name: WHAT_IF_RESULT.now, cell: ([, now]) => now },
        { name: WHAT_IF_RESULT.withTheseFindings, cell: ([, , then]) => then },
      ]}
      rows={rows}
      keyOf={([name]) => name}
    />
  );
}
