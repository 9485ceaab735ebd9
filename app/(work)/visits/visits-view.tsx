import Link from "next/link";
import { money, utcTime, words } from "@/app/_ui/format.ts";
import { Isolated } from "@/app/_ui/isolated.tsx";
import { Probability } from "@/app/_ui/probability.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { PaperLink, WrittenVisits } from "@/app/_ui/visit-papers.tsx";
import { Wide } from "@/app/_ui/wide.tsx";
import { Worth } from "@/app/_ui/worth.tsx";
import type { VisitsView as View, WrittenVisit } from "@/lib/reads/visits-view.ts";
import { PhotoPlace } from "./photo-place.tsx";

export function VisitsView({ view, written }: { view: View; written: WrittenVisit[] }) {
  return (
    <>
      <h1>Visits</h1>
      <p className="soft">
        Make safe before urgent before planned; inside each, expected loss avoided per cost of the trip. Records up to{" "}
        {view.as_of ? utcTime(view.as_of) : "not known"}; money is a year’s expectation in {view.currency}.{" "}
        <a href="#repairs-under-watch">Repairs under watch</a>, <a href="/visits/today">today’s stops for the phone</a>
      </p>
      <OnSiteNow view={view} />
      {view.visits.length === 0 ? (
        <p className="empty">No visit is queued. That is no clearance: see what is on watch and what is missing.</p>
      ) : (
        <Queue view={view} />
      )}
      <h2>Visit reports</h2>
      <WrittenVisits visits={written} withSite />
      <h2>On watch ({view.watch.length})</h2>
      <Watch view={view} />
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
          {person.leaveBy ? `, to leave by ${utcTime(person.leaveBy)}` : ""}.
          {person.overdue ? " Call, and send somebody if there is no answer: the phone may be without signal." : ""}
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
    <Wide label="Queued visits">
      <table className="ranked">
        <thead>
          <tr>
            <th scope="col" className="num">
              Rank
            </th>
            <th scope="col">Urgency</th>
            <th scope="col">Site</th>
            <th scope="col">Bonding defect</th>
            <th scope="col">Why</th>
            <th scope="col" className="num">
              Avoids, a year
            </th>
            <th scope="col" className="num">
              Costs
            </th>
            <th scope="col" className="num">
              On site
            </th>
            <th scope="col">Needs</th>
          </tr>
        </thead>
        <tbody>
          {view.visits.map((v) => (
            <tr key={v.visit_id}>
              <td className="num" data-label="Rank">
                {v.rank}
              </td>
              <td>
                <Urgency value={v.urgency} />
              </td>
              <td className="site">
                <Link href={`/visits/${encodeURIComponent(v.visit_id)}`}>{v.siteName}</Link>
                <br />
                <span className="soft">
                  {v.site_id} · {v.portfolio}
                </span>
                {view.isolated[v.site_id] ? <br /> : null}
                <Isolated since={view.isolated[v.site_id]} />
                <br />
                <PaperLink visitId={v.visit_id} paper="checklist" />
              </td>
              <td>
                <Probability value={v.bonding} />
              </td>
              <td>
                {v.reasons[0]}
                <br />
                <span className="soft">{words(v.leadingCause)}</span>
                <Worth siteId={v.site_id} siteName={v.siteName} />
              </td>
              <td className="num" data-label="Avoids, a year">
                {money(v.expected_loss_avoided, view.currency)}
              </td>
              <td className="num" data-label="Costs">
                {money(v.visit_cost, view.currency)}
              </td>
              <td className="num" data-label="On site">
                {v.hours_on_site} h
              </td>
              <td data-label="Needs">{v.skills.join(", ")}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

function Watch({ view }: { view: View }) {
  if (view.watch.length === 0) return <p className="soft">No site is on watch.</p>;
  return (
    <Wide label="Sites on watch">
      <table>
        <thead>
          <tr>
            <th scope="col">Site</th>
            <th scope="col">Why no visit now</th>
            <th scope="col">What would change it</th>
          </tr>
        </thead>
        <tbody>
          {view.watch.map((w) => (
            <tr key={w.siteId}>
              <td>
                <Link href={`/sites/${encodeURIComponent(w.siteId)}`}>{w.siteName}</Link>
                <br />
                <span className="soft">{w.siteId}</span>
              </td>
              <td>
                {w.reason}
                <Worth siteId={w.siteId} siteName={w.siteName} />
              </td>
              <td>{w.wouldChange}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
