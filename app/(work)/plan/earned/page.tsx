import type { Metadata } from "next";
import Link from "next/link";
import { money } from "@/app/_ui/format.ts";
import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import type { DispatchRecord } from "@/lib/dispatch/plans/dispatch-record.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readDispatchHistory } from "@/lib/reads/dispatch-history.ts";
import type { DispatchHistoryView } from "@/lib/reads/dispatch-history-view.ts";

export const metadata: Metadata = { title: "Did dispatch earn its keep" };
export const dynamic = "force-dynamic";

export default async function EarnedPage() {
  const view = await readDispatchHistory(await currentActor());
  return (
    <>
      <h1>Did dispatch earn its keep</h1>
      <p className="soft">
        Visits of confirmed plans from {view.from} to {view.to}: what was planned, what happened, what was found, and
        what the queue had expected. Intervals hold 90 %. A visit that found nothing clears nothing.{" "}
        <Link href="/plan">Plans</Link>
      </p>
      {view.all.sent === 0 ? (
        <Empty>
          No visit of a confirmed plan lies in the past yet. Confirm a plan; the day after its first day there is
          something to see here.
        </Empty>
      ) : (
        <>
          <Answer view={view} />
          <Records
            label="By crew"
            head="Crew"
            rows={view.byCrew.map(({ crewName, record }) => [crewName, record])}
            currency={view.currency}
          />
          <Records
            label="By month"
            head="Month"
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
  if (!finds) return "No visit was made whose finds were predicted: nothing can be said.";
  const said = `${finds.found} found in ${finds.n} visits, ${one(finds.expected.found)} expected (${finds.expected.low} to ${finds.expected.high})`;
  if (finds.verdict === "too_few_visits") {
    const needs = Number.isFinite(finds.needs)
      ? `It takes about ${finds.needs} visits to judge`
      : "Nothing was expected";
    return `${said}. ${needs}; until then this is no judgement.`;
  }
  const words = {
    as_expected: "as many as the queue expected",
    fewer: "fewer than the queue expected: look at the parameters and at what was not looked for",
    more: "more than the queue expected: it undersells visits",
  }[finds.verdict];
  return `${said}: ${words}.`;
}

function Answer({ view }: { view: DispatchHistoryView }) {
  const { all, currency } = view;
  return (
    <dl className="facts">
      <div>
        <dt>Sent out, made</dt>
        <dd>
          {all.sent} sent, {all.made} made
        </dd>
      </div>
      <div>
        <dt>Defects found</dt>
        <dd>{judged(all)}</dd>
      </div>
      <div>
        <dt>Found a visit</dt>
        <dd>
          {all.finds
            ? `${all.finds.perVisit.rate.toFixed(2)} (${all.finds.perVisit.low.toFixed(2)} to ${all.finds.perVisit.high.toFixed(2)}), ${all.finds.n} visits`
            : "nothing recorded"}
        </dd>
      </div>
      <div>
        <dt>Hours on site, planned and taken</dt>
        <dd>
          {all.hours
            ? `${one(all.hours.planned)} h planned, ${one(all.hours.taken)} h taken, mean of ${all.hours.n} visits with written hours`
            : "no visit has written hours"}
        </dd>
      </div>
      <div>
        <dt>Cost</dt>
        <dd>
          {all.cost
            ? `${money(all.cost.perVisit, currency)} a visit (${all.cost.n} visits)${all.cost.perDefect === null ? "" : `, ${money(all.cost.perDefect, currency)} a defect found`}`
            : "the crews’ rates are not recorded"}
        </dd>
      </div>
      <div>
        <dt>Loss that the queue expected a visit to avoid, a year</dt>
        <dd>{all.avoidedPerVisit === null ? "not known" : money(all.avoidedPerVisit, currency)}</dd>
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
          { name: "Sent", num: true, cell: ([_name, record]) => record.sent },
          { name: "Made", num: true, cell: ([_name, record]) => record.made },
          {
            name: "Hours planned, taken",
            num: true,
            cell: ([_name, record]) =>
              record.hours ? `${one(record.hours.planned)} h, ${one(record.hours.taken)} h` : "not written",
          },
          {
            name: "A visit costs",
            num: true,
            cell: ([_name, record]) => (record.cost ? money(record.cost.perVisit, currency) : "not known"),
          },
          { name: "Found against expected", cell: ([_name, record]) => judged(record) },
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
      <h2>Visit by visit, newest first</h2>
      <Table
        label="Visits that were sent out"
        columns={[
          { name: "Day", cell: (visit) => visit.day },
          { name: "Site", head: true, cell: (visit) => visit.siteName },
          { name: "Crew", cell: (visit) => visit.crewName },
          { name: "Planned", cell: (visit) => visit.planned },
          { name: "Begun", cell: (visit) => visit.made ?? "not made" },
          {
            name: "Hours planned, taken",
            num: true,
            cell: (visit) => (
              <>
                {one(visit.plannedHours)} h, {visit.hours === null ? "not written" : `${one(visit.hours)} h`}
              </>
            ),
          },
          {
            name: "Found, expected",
            num: true,
            cell: (visit) => (
              <>
                {visit.found ?? "–"}, {visit.expected === null ? "not predicted" : visit.expected.toFixed(2)}
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
