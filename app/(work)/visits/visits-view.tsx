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
import { LISTS, VISITS_VIEW } from "@/app/_words/visits.ts";
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
      <h1>{VISITS_VIEW.visits}</h1>
      <p className="soft">
        {VISITS_VIEW.makeSafeBeforeUrgent} {view.as_of ? <When at={view.as_of} /> : VISITS_VIEW.notKnown}
        {VISITS_VIEW.moneyIsAYears(view.currency)} <a href="#repairs-under-watch">{VISITS_VIEW.repairsUnderWatch}</a>,{" "}
        <a href="/visits/today">{VISITS_VIEW.todaysStopsForThe}</a>
      </p>
      <OnSiteNow view={view} />
      {total === 0 ? (
        <Empty>{VISITS_VIEW.noVisitIsQueued}</Empty>
      ) : (
        <section id="queue">
          <QueueParts view={view} query={query} />
          {view.visits.length > 0 ? <Queue view={view} /> : <Empty>{LISTS.queueEnds(query.from)}</Empty>}
          <QueuePaging view={view} query={query} total={total} />
        </section>
      )}
      <h2>{VISITS_VIEW.visitReports}</h2>
      <WrittenVisits visits={written} withSite />
      <h2 id="on-watch">{VISITS_VIEW.onWatch(view.watched)}</h2>
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
    <section aria-label={VISITS_VIEW.onSiteNow}>
      {view.onSite.length > 0 ? <h2>{VISITS_VIEW.onSite(view.onSite.length)}</h2> : null}
      {view.onSite.map((person) => (
        <p key={`${person.visitId}/${person.by}`} className={person.overdue ? "note danger" : "note"} data-on-site>
          {person.overdue ? <strong>{VISITS_VIEW.checkOutOverdue} </strong> : null}
          {person.by}, {words(person.state)}, <VisitLink id={person.visitId} name={person.siteName} />
          {person.leaveBy ? (
            <>
              {VISITS_VIEW.toLeaveBy} <When at={person.leaveBy} />
            </>
          ) : null}
          .{person.overdue ? VISITS_VIEW.callAndSendSomebody : ""}
        </p>
      ))}
      {view.unclosed.length > 0 ? <h2>{VISITS_VIEW.signedAndNotClosed(view.unclosed.length)}</h2> : null}
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
      <h2>{VISITS_VIEW.randomAudit(audit.month)}</h2>
      <p>
        {VISITS_VIEW.visitsToSuspiciousSites(audit.sharePct)} <Link href="/parameters">{VISITS_VIEW.parameters}</Link>
        {VISITS_VIEW.aLotIsNo}
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

const FIRST_ON_PHONE = 10;

function Queue({ view }: { view: View }) {
  return (
    <Table
      label={VISITS_VIEW.queuedVisits}
      className="ranked"
      columns={[
        { name: VISITS_VIEW.rank, num: true, label: VISITS_VIEW.rank, cell: (v) => v.rank },
        { name: VISITS_VIEW.urgency, label: "", cell: (v) => <Urgency value={v.urgency} /> },
        {
          name: VISITS_VIEW.site,
          className: "site",
          label: "",
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
        { name: VISITS_VIEW.bondingDefect, cell: (v) => <Probability value={v.bonding} /> },
        {
          name: VISITS_VIEW.why,
          label: "",
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
          name: VISITS_VIEW.avoidsAYear,
          num: true,
          label: VISITS_VIEW.avoidsAYear,
          cell: (v) => money(v.expected_loss_avoided, view.currency),
        },
        {
          name: VISITS_VIEW.costs,
          num: true,
          label: VISITS_VIEW.costs,
          cell: (v) => money(v.visit_cost, view.currency),
        },
        { name: VISITS_VIEW.onSite2, num: true, label: VISITS_VIEW.onSite2, cell: (v) => <>{v.hours_on_site} h</> },
        { name: VISITS_VIEW.needs, label: VISITS_VIEW.needs, cell: (v) => v.skills.join(", ") },
      ]}
      rows={view.visits}
      later={(_, i) => i >= FIRST_ON_PHONE}
      keyOf={(v) => v.visit_id}
    />
  );
}

function Watch({ view, query }: { view: View; query: VisitsQuery }) {
  if (view.watched === 0) return <p className="soft">{VISITS_VIEW.noSiteIsOn}</p>;
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
      label={VISITS_VIEW.sitesOnWatch}
      columns={[
        {
          name: VISITS_VIEW.site,
          cell: (w) => (
            <>
              <Link href={`/sites/${encodeURIComponent(w.siteId)}`}>{w.siteName}</Link>
              <br />
              <span className="soft">{w.siteId}</span>
            </>
          ),
        },
        {
          name: VISITS_VIEW.whyNoVisitNow,
          cell: (w) => (
            <>
              {w.reason}
              <Worth siteId={w.siteId} siteName={w.siteName} />
            </>
          ),
        },
        { name: VISITS_VIEW.whatWouldChangeIt, cell: (w) => w.wouldChange },
      ]}
      rows={view.watch}
      phone="cards"
      later={(_, i) => i >= FIRST_ON_PHONE}
      keyOf={(w) => w.siteId}
    />
  );
}
