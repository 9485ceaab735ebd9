import { banded, decibanText, words } from "@/app/_ui/format.ts";
import { Probability } from "@/app/_ui/probability.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { Wide } from "@/app/_ui/wide.tsx";
import { WHAT_IF_RESULT } from "@/app/_words/site.ts";
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
  return (
    <Wide label={WHAT_IF_RESULT.beliefNowAndThen}>
      <table className="ranked" data-what-if-result>
        <thead>
          <tr>
            <th scope="col">{WHAT_IF_RESULT.ofTheSite}</th>
            <th scope="col">{WHAT_IF_RESULT.now}</th>
            <th scope="col">{WHAT_IF_RESULT.withTheseFindings}</th>
          </tr>
        </thead>
        <tbody>
          <tr>
            <th scope="row" className="site">
              {WHAT_IF_RESULT.bondingOrGroundingDefect}
            </th>
            <td data-label="Now">
              <Probability value={before.bonding} />
            </td>
            <td data-label="With these findings">
              <Probability value={after.bonding} />
            </td>
          </tr>
          <tr>
            <th scope="row" className="site">
              {WHAT_IF_RESULT.metalThatMayBe}
            </th>
            <td data-label="Now">
              <Probability value={before.energized} />
            </td>
            <td data-label="With these findings">
              <Probability value={after.energized} />
            </td>
          </tr>
          <tr>
            <th scope="row" className="site">
              {WHAT_IF_RESULT.urgency}
            </th>
            <td data-label="Now">
              <Urgency value={before.urgency} />
            </td>
            <td data-label="With these findings">
              <Urgency value={after.urgency} />
            </td>
          </tr>
          {moved.map(({ cause, from, to }) => (
            <tr key={cause}>
              <th scope="row" className="site">
                {WHAT_IF_RESULT.byItself(words(cause))}
              </th>
              <td data-label="Now">{banded(from)}</td>
              <td data-label="With these findings">{banded(to)}</td>
            </tr>
          ))}
          {sources
            .filter((source) => Math.abs(total(source, after) - total(source, before)) >= 0.05)
            .map((source) => (
              <tr key={source}>
                <th scope="row" className="site">
                  {WHAT_IF_RESULT.evidenceDecibans(source)}
                </th>
                <td data-label="Now">{decibanText(total(source, before))}</td>
                <td data-label="With these findings">{decibanText(total(source, after))}</td>
              </tr>
            ))}
        </tbody>
      </table>
    </Wide>
  );
}
