"use client";

import { useQuery } from "@tanstack/react-query";
import { Figure } from "@/app/_ui/figure.tsx";
import { words } from "@/app/_ui/format.ts";
import { Probability } from "@/app/_ui/probability.tsx";
import { Trouble, Waiting } from "@/app/_ui/said.tsx";
import { Wide } from "@/app/_ui/wide.tsx";
import type { NextTestsView } from "@/lib/reads/what-if-view.ts";

async function fetchTests(siteId: string): Promise<NextTestsView> {
  const reply = await fetch(`/api/pages/sites/${encodeURIComponent(siteId)}/next-tests`);
  if (!reply.ok) throw new Error(`The next tests could not be worked out (${reply.status}).`);
  return (await reply.json()) as NextTestsView;
}

/** What would change the belief most: asked for after the page is there, because it takes a hundred diagnoses. */
export function NextTests({ siteId }: { siteId: string }) {
  const { data, error } = useQuery({ queryKey: ["next-tests", siteId], queryFn: () => fetchTests(siteId) });
  return (
    <section aria-label="What would change this most" data-next-tests={data ? "ready" : "waiting"}>
      <h2>What would change this most</h2>
      <p className="soft">
        Tests by expected information about a bonding or grounding defect, with where either outcome would lead. What is
        checked for safety is on the checklist whether or not it is here. Treat all metal as live; measure before
        touching.
      </p>
      <Trouble says={error?.message}> Load the page again.</Trouble>
      {!data && !error ? <Waiting label="Working out the next tests" /> : null}
      {data && data.tests.length === 0 ? <p className="empty">No single test would move it noticeably.</p> : null}
      {data && data.tests.length > 0 ? <TestsTable tests={data.tests} /> : null}
    </section>
  );
}

function TestsTable({ tests }: Pick<NextTestsView, "tests">) {
  return (
    <Wide label="Next tests">
      <table className="ranked">
        <thead>
          <tr>
            <th scope="col">Test</th>
            <th scope="col">Where</th>
            <th scope="col" className="num">
              Expected information, bits
            </th>
            <th scope="col">Bonding defect if it fails</th>
            <th scope="col">if it passes</th>
          </tr>
        </thead>
        <tbody>
          {tests.map((t) => (
            <tr key={t.check}>
              <td>{words(t.check)}</td>
              <td data-label="Where">
                {t.sectionId !== null
                  ? `section ${t.sectionId}`
                  : t.inverterId !== null
                    ? `inverter ${t.inverterId}`
                    : "the site"}
              </td>
              <td className="num" data-label="Bits">
                <Figure of="bits">{t.bits < 0.001 ? "< 0.001" : t.bits.toFixed(3)}</Figure>
              </td>
              <td data-label="If it fails">
                <Figure of="outcome">
                  <Probability value={t.ifFails} />
                </Figure>
              </td>
              <td data-label="If it passes">
                <Figure of="outcome">
                  <Probability value={t.ifPasses} />
                </Figure>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
