"use client";

import { useQuery } from "@tanstack/react-query";
import { Figure } from "@/app/_ui/figure.tsx";
import { words } from "@/app/_ui/format.ts";
import { PhoneFold } from "@/app/_ui/phone-fold.tsx";
import { Probability } from "@/app/_ui/probability.tsx";
import { Trouble, Waiting } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { NEXT_TESTS } from "@/app/_words/site-evidence.ts";
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
      <PhoneFold title={NEXT_TESTS.whatWouldChangeThis}>
        <p className="soft">{NEXT_TESTS.testsByExpectedInformation}</p>
        <Trouble says={error?.message}> {NEXT_TESTS.loadThePageAgain}</Trouble>
        {!data && !error ? <Waiting label={NEXT_TESTS.workingOutTheNext} /> : null}
        {data && data.tests.length === 0 ? <p className="empty">{NEXT_TESTS.noSingleTestWould}</p> : null}
        {data && data.tests.length > 0 ? <TestsTable tests={data.tests} /> : null}
      </PhoneFold>
    </section>
  );
}

const placeText = ({ sectionId, inverterId }: NextTestsView["tests"][number]) =>
  sectionId !== null
    ? NEXT_TESTS.section(sectionId)
    : inverterId !== null
      ? NEXT_TESTS.inverter(inverterId)
      : NEXT_TESTS.theSite;

function TestsTable({ tests }: Pick<NextTestsView, "tests">) {
  return (
    <Table
      label={NEXT_TESTS.nextTests}
      className="ranked"
      columns={[
        { name: NEXT_TESTS.test, cell: (t) => words(t.check) },
        { name: NEXT_TESTS.where, cell: placeText },
        {
          name: NEXT_TESTS.expectedInformationBits,
          label: NEXT_TESTS.bits,
          num: true,
          cell: (t) => <Figure of="bits">{t.bits < 0.001 ? "< 0.001" : t.bits.toFixed(3)}</Figure>,
        },
        {
          name: NEXT_TESTS.bondingDefectIfIt,
          label: NEXT_TESTS.ifItFails,
          cell: (t) => (
            <Figure of="outcome">
              <Probability value={t.ifFails} />
            </Figure>
          ),
        },
        {
          name: NEXT_TESTS.ifItPasses,
          cell: (t) => (
            <Figure of="outcome">
              <Probability value={t.ifPasses} />
            </Figure>
          ),
        },
      ]}
      rows={tests}
      keyOf={(t) => t.check}
    />
  );
}
