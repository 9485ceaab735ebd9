import Link from "next/link";
import { money, words } from "@/app/_ui/format.ts";
import { Isolated } from "@/app/_ui/isolated.tsx";
import { Probability } from "@/app/_ui/probability.tsx";
import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { PaperLink, WrittenVisits } from "@/app/_ui/visit-papers.tsx";
import { When } from "@/app/_ui/when.tsx";
import { Worth } from "@/app/_ui/worth.tsx";
import type { VisitsView as View, VisitsQuery, WrittenVisit } from "@/lib/reads/visits-view.ts";
import { QueuePaging, QueueParts, WatchPaging } from "./list-parts.tsx";
import { PhotoPlace } from "./photo-place.tsx";

interface Props {
  view: View;
  query: VisitsQuery;
  written: WrittenVisit[];
}

export function VisitsView({ view, query, written }: Props) {
  const total = view.queued.reduce((sum, { n }) => sum + n, 0);
  return (
    <>
      <h1>Visits</h1>
      <p className="soft">
        Make safe before urgent before planned; inside each, expected loss avoided per cost of the trip. Records up to{" "}
        {view.as_of ? <When at={view.as_of} /> : "not known"}; money is a year’s expectation in {view.currency}.{" "}
        <a href="#repairs-under-watch">Repairs under watch</a>, <a href="/visits/today">today’s stops for the phone</a>
      </p>
      <OnSiteNow view={view} />
      {total === 0 ? (
        <Empty>No visit is queued. That is no clearance: see what is on watch and what is missing.</Empty>
      ) : (
        <section id="queue">
          <QueueParts view={view} query={query} />
          {view.visits.length > 0 ? <Queue view={view} /> : <Empty>The queue ends before rank {query.from}.</Empty>}
          <QueuePaging view={view} query={query} total={total} />
        </section>
      )}
      <h2>Visit reports</h2>
      <WrittenVisits visits={written} withSite />
      <h2 id="on-watch">On watch ({view.watched.toLocaleString("en-US")})</h2>
      <Watch view={view} query={query} />
      <RandomAudit audit={view.audit} />
      <PhotoPlace value={view.photoPlace} />
    </>
  );
}

/** Who is on site now, and visits that were signed and are not closed. */
function OnSiteNow({ view }: { view: View }) {
  if (view.onSite.length + view.unclosed.length === 0) return null;
  return (
    <section aria-label="On site now">
      {view.onSite.length > 0 ? <h2>On site ({view.onSite.length})</h2> : null}
      {view.onSite.map((person) => (
        <p key={`${person.visitId}/${person.by}`} className={person.overdue ? "note danger" : "note"} data-on-site>
          {person.overdue ? <strong>Check-out overdue. </strong> : null}
          {person.by}, {words(person.state)}, <VisitLink id={person.visitId} name={person.siteName} />
          {person.leaveBy ? (
            <>
              , to leave by <When at={person.leaveBy} />
            </>
          ) : null}
          .{person.overdue ? " Call, and send somebody if there is no answer: the phone may be without signal." : ""}
        </p>
      ))}
      {view.unclosed.length > 0 ? <h2>Signed and not closed ({view.unclosed.length})</h2> : null}
      {view.unclosed.map((visit) => (
        <p key={visit.visitId} className="note danger" data-unclosed>
          <VisitLink id={visit.visitId} name={visit.siteName} />: {visit.why}
        </p>
      ))}
    </section>
  );
}

function VisitLink({ id, name }: { id: string; name: string }) {
  return <Link href={`/visits/${encodeURIComponent(id)}`}>{name}</Link>;
}

/** Sites that are offered though nothing points at them. */
function RandomAudit({ audit }: { audit: View["audit"] }) {
  if (audit.sites.length === 0) return null;
  return (
    <section>
      <h2>Random audit, {audit.month}</h2>
      <p>
        Visits to suspicious sites alone cannot show what quiet ones hide. These sites on watch were drawn by lot, so
        that {audit.sharePct} % of all visits are of that kind; the share is the row audit.share under{" "}
        <Link href="/parameters">Parameters</Link>. A lot is no finding, and not being drawn is no clearance.
      </p>
      <ul>
        {audit.sites.map((s) => (
          <li key={s.siteId}>
            <Link href={`/sites/${encodeURIComponent(s.siteId)}`}>{s.siteName}</Link>{" "}
            <span className="soft">{s.siteId}</span>
          </li>
        ))}
      </ul>
    </section>
  );
}

function Queue({ view }: { view: View }) {
  return (
    <Table
      label="Queued visits"
      className="ranked"
      columns={[
        { name: "Rank", num: true, label: "Rank", cell: (v) => v.rank },
        { name: "Urgency", cell: (v) => <Urgency value={v.urgency} /> },
        {
          name: "Site",
          className: "site",
          cell: (v) => (
            <>
              <Link href={`/visits/${encodeURIComponent(v.visit_id)}`}>{v.siteName}</Link>
              <br />
              <span className="soft">
                {v.site_id} · {v.portfolio}
              </span>
              {view.isolated[v.site_id] ? <br /> : null}
              <Isolated since={view.isolated[v.site_id]} />
              <br />
              <PaperLink visitId={v.visit_id} paper="checklist" />
            </>
          ),
        },
        { name: "Bonding defect", cell: (v) => <Probability value={v.bonding} /> },
        {
          name: "Why",
          cell: (v) => (
            <>
              {v.reasons[0]}
              <br />
              <span className="soft">{words(v.leadingCause)}</span>
              <Worth siteId={v.site_id} siteName={v.siteName} />
            </>
          ),
        },
        {
          name: "Avoids, a year",
          num: true,
          label: "Avoids, a year",
          cell: (v) => money(v.expected_loss_avoided, view.currency),
        },
        { name: "Costs", num: true, label: "Costs", cell: (v) => money(v.visit_cost, view.currency) },
        { name: "On site", num: true, label: "On site", cell: (v) => <>{v.hours_on_site} h</> },
        { name: "Needs", label: "Needs", cell: (v) => v.skills.join(", ") },
      ]}
      rows={view.visits}
      keyOf={(v) => v.visit_id}
    />
  );
}

function Watch({ view, query }: { view: View; query: VisitsQuery }) {
  if (view.watched === 0) return <p className="soft">No site is on watch.</p>;
  return (
    <>
      <WatchTable view={view} />
      <WatchPaging view={view} query={query} />
    </>
  );
}

function WatchTable({ view }: { view: View }) {
  return (
    <Table
      label="Sites on watch"
      columns={[
        {
          name: "Site",
          cell: (w) => (
            <>
              <Link href={`/sites/${encodeURIComponent(w.siteId)}`}>{w.siteName}</Link>
              <br />
              <span className="soft">{w.siteId}</span>
            </>
          ),
        },
        {
          name: "Why no visit now",
          cell: (w) => (
            <>
              {w.reason}
              <Worth siteId={w.siteId} siteName={w.siteName} />
            </>
          ),
        },
        { name: "What would change it", cell: (w) => w.wouldChange },
      ]}
      rows={view.watch}
      keyOf={(w) => w.siteId}
    />
  );
}
