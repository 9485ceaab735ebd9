import type { Metadata } from "next";
import Link from "next/link";
import { money } from "@/app/_ui/format.ts";
import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { EARNED_PAGE } from "@/app/_words/plan.ts";
import type { DispatchRecord } from "@/lib/dispatch/plans/dispatch-record.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readDispatchHistory } from "@/lib/reads/dispatch-history.ts";
import type { DispatchHistoryView } from "@/lib/reads/dispatch-history-view.ts";

export const metadata: Metadata = { title: EARNED_PAGE.didDispatchEarnIts };
export const dynamic = "force-dynamic";

export default async function EarnedPage() {
  const view = await readDispatchHistory(await currentActor());
  return (
    <>
      <h1>{EARNED_PAGE.didDispatchEarnIts}</h1>
      <p className="soft">
        {EARNED_PAGE.visitsOfConfirmedPlans(view.from, view.to)} <Link href="/plan">{EARNED_PAGE.plans}</Link>
      </p>
      {view.all.sent === 0 ? (
        <Empty>{EARNED_PAGE.noVisitOfA}</Empty>
      ) : (
        <>
          <Answer view={view} />
          <Records
            label={EARNED_PAGE.byCrew}
            head={EARNED_PAGE.crew}
            rows={view.byCrew.map(({ crewName, record }) => [crewName, record])}
            currency={view.currency}
          />
          <Records
            label={EARNED_PAGE.byMonth}
            head={EARNED_PAGE.month}
            rows={view.byMonth.map(({ month, record }) => [month, record])}
            currency={view.currency}
          />
          <Visits view={view} />
        </>
      )}
    </>
  );
}

const one = (value: number) => value.toFixed(1);

/** What was found against what was expected, in one sentence. */
function judged(record: DispatchRecord): string {
  const { finds } = record;
  if (!finds) return EARNED_PAGE.noVisitWasMade;
  const said = EARNED_PAGE.foundInVisitsExpected(
    finds.found,
    finds.n,
    one(finds.expected.found),
    finds.expected.low,
    finds.expected.high,
  );
  if (finds.verdict === "too_few_visits") {
    const needs = Number.isFinite(finds.needs)
      ? EARNED_PAGE.itTakesAboutVisits(finds.needs)
      : EARNED_PAGE.nothingWasExpected;
    return EARNED_PAGE.untilThenThisIs(said, needs);
  }
  const words = {
    as_expected: EARNED_PAGE.asManyAsThe,
    fewer: EARNED_PAGE.fewerThanTheQueue,
    more: EARNED_PAGE.moreThanTheQueue,
  }[finds.verdict];
  return `${said}: ${words}.`;
}

function Answer({ view }: { view: DispatchHistoryView }) {
  const { all, currency } = view;
  return (
    <dl className="facts">
      <div>
        <dt>{EARNED_PAGE.sentOutMade}</dt>
        <dd>{EARNED_PAGE.sentMade(all.sent, all.made)}</dd>
      </div>
      <div>
        <dt>{EARNED_PAGE.defectsFound}</dt>
        <dd>{judged(all)}</dd>
      </div>
      <div>
        <dt>{EARNED_PAGE.foundAVisit}</dt>
        <dd>
          {all.finds
            ? EARNED_PAGE.toVisits(
                all.finds.perVisit.rate.toFixed(2),
                all.finds.perVisit.low.toFixed(2),
                all.finds.perVisit.high.toFixed(2),
                all.finds.n,
              )
            : EARNED_PAGE.nothingRecorded}
        </dd>
      </div>
      <div>
        <dt>{EARNED_PAGE.hoursOnSitePlanned}</dt>
        <dd>
          {all.hours
            ? EARNED_PAGE.hPlannedHTaken(one(all.hours.planned), one(all.hours.taken), all.hours.n)
            : EARNED_PAGE.noVisitHasWritten}
        </dd>
      </div>
      <div>
        <dt>{EARNED_PAGE.cost}</dt>
        <dd>
          {all.cost
            ? EARNED_PAGE.aVisitVisits(
                money(all.cost.perVisit, currency),
                all.cost.n,
                all.cost.perDefect === null ? "" : EARNED_PAGE.aDefectFound(money(all.cost.perDefect, currency)),
              )
            : EARNED_PAGE.theCrewsRatesAre}
        </dd>
      </div>
      <div>
        <dt>{EARNED_PAGE.lossThatTheQueue}</dt>
        <dd>{all.avoidedPerVisit === null ? EARNED_PAGE.notKnown : money(all.avoidedPerVisit, currency)}</dd>
      </div>
    </dl>
  );
}

function Records({
  label,
  head,
  rows,
  currency,
}: {
  label: string;
  head: string;
  rows: [string, DispatchRecord][];
  currency: string;
}) {
  return (
    <section>
      <h2>{label}</h2>
      <Table
        label={label}
        columns={[
          { name: head, head: true, cell: ([name, _record]) => name },
          { name: EARNED_PAGE.sent, num: true, cell: ([_name, record]) => record.sent },
          { name: EARNED_PAGE.made, num: true, cell: ([_name, record]) => record.made },
          {
            name: EARNED_PAGE.hoursPlannedTaken,
            num: true,
            cell: ([_name, record]) =>
              record.hours ? `${one(record.hours.planned)} h, ${one(record.hours.taken)} h` : EARNED_PAGE.notWritten,
          },
          {
            name: EARNED_PAGE.aVisitCosts,
            num: true,
            cell: ([_name, record]) => (record.cost ? money(record.cost.perVisit, currency) : EARNED_PAGE.notKnown),
          },
          { name: EARNED_PAGE.foundAgainstExpected, cell: ([_name, record]) => judged(record) },
        ]}
        rows={rows}
        keyOf={([name, _record]) => name}
      />
    </section>
  );
}

function Visits({ view }: { view: DispatchHistoryView }) {
  return (
    <section>
      <h2>{EARNED_PAGE.visitByVisitNewest}</h2>
      <Table
        label={EARNED_PAGE.visitsThatWereSent}
        columns={[
          { name: EARNED_PAGE.day, cell: (visit) => visit.day },
          { name: EARNED_PAGE.site, head: true, cell: (visit) => visit.siteName },
          { name: EARNED_PAGE.crew, cell: (visit) => visit.crewName },
          { name: EARNED_PAGE.planned, cell: (visit) => visit.planned },
          { name: EARNED_PAGE.begun, cell: (visit) => visit.made ?? EARNED_PAGE.notMade },
          {
            name: EARNED_PAGE.hoursPlannedTaken,
            num: true,
            cell: (visit) => (
              <>
                {one(visit.plannedHours)} h, {visit.hours === null ? EARNED_PAGE.notWritten : `${one(visit.hours)} h`}
              </>
            ),
          },
          {
            name: EARNED_PAGE.foundExpected,
            num: true,
            cell: (visit) => (
              <>
                {visit.found ?? "–"}, {visit.expected === null ? EARNED_PAGE.notPredicted : visit.expected.toFixed(2)}
              </>
            ),
          },
        ]}
        rows={view.visits}
        keyOf={(visit) => `${visit.visitId} ${visit.day}`}
      />
    </section>
  );
}
