"use client";

import { useQuery } from "@tanstack/react-query";
import { Figure } from "@/app/_ui/figure.tsx";
import { words } from "@/app/_ui/format.ts";
import { Probability } from "@/app/_ui/probability.tsx";
import { Trouble, Waiting } from "@/app/_ui/said.tsx";
import { Wide } from "@/app/_ui/wide.tsx";
import { NEXT_TESTS } from "@/app/_words/site.ts";
import type { NextTestsView } from "@/lib/reads/what-if-view.ts";

async function fetchTests(siteId: string): Promise<NextTestsView> {
  const reply = await fetch(`/api/pages/sites/${encodeURIComponent(siteId)}/next-tests`);
  if (!reply.ok) throw new Error(NEXT_TESTS.theNextTestsCould(reply.status));
  return (await reply.json()) as NextTestsView;
}

/** What would change the belief most: asked for after the page is there, because it takes a hundred diagnoses. */
export function NextTests({ siteId }: { siteId: string }) {
  const { data, error } = useQuery({ queryKey: ["next-tests", siteId], queryFn: () => fetchTests(siteId) });
  return (
    <section aria-label={NEXT_TESTS.whatWouldChangeThis} data-next-tests={data ? "ready" : "waiting"}>
      <h2>{NEXT_TESTS.whatWouldChangeThis}</h2>
      <p className="soft">{NEXT_TESTS.testsByExpectedInformation}</p>
      <Trouble says={error?.message}> {NEXT_TESTS.loadThePageAgain}</Trouble>
      {!data && !error ? <Waiting label={NEXT_TESTS.workingOutTheNext} /> : null}
      {data && data.tests.length === 0 ? <p className="empty">{NEXT_TESTS.noSingleTestWould}</p> : null}
      {data && data.tests.length > 0 ? <TestsTable tests={data.tests} /> : null}
    </section>
  );
}

function TestsTable({ tests }: Pick<NextTestsView, "tests">) {
  return (
    <Wide label={NEXT_TESTS.nextTests}>
      <table className="ranked">
        <thead>
          <tr>
            <th scope="col">{NEXT_TESTS.test}</th>
            <th scope="col">{NEXT_TESTS.where}</th>
            <th scope="col" className="num">
              {NEXT_TESTS.expectedInformationBits}
            </th>
            <th scope="col">{NEXT_TESTS.bondingDefectIfIt}</th>
            <th scope="col">{NEXT_TESTS.ifItPasses}</th>
          </tr>
        </thead>
        <tbody>
          {tests.map((t) => (
            <tr key={t.check}>
              <td>{words(t.check)}</td>
              <td data-label="Where">
                {t.sectionId !== null
                  ? NEXT_TESTS.section(t.sectionId)
                  : t.inverterId !== null
                    ? NEXT_TESTS.inverter(t.inverterId)
                    : NEXT_TESTS.theSite}
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
