import Link from "next/link";
import { Facts } from "@/app/_ui/facts.tsx";
import { orUnknown, words } from "@/app/_ui/format.ts";
import { Isolated } from "@/app/_ui/isolated.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { PaperLink } from "@/app/_ui/visit-papers.tsx";
import { When } from "@/app/_ui/when.tsx";
import { Worth } from "@/app/_ui/worth.tsx";
import { BEFORE_WORK, CAUTIONS } from "@/lib/grounding/cautions.ts";
import type { ChecklistItem } from "@/lib/reads/documents.ts";
import type { VisitView as View } from "@/lib/reads/visits-view.ts";
import { openByCheck, STILL_OPEN_SAYS } from "@/lib/visit/still-open.ts";
import { ownCaution } from "./own-caution.ts";
import { VisitWork } from "./visit-work.tsx";
import { WetLook } from "./wet-look.tsx";

export function VisitView({ view }: { view: View }) {
  const { visit, site } = view;
  return (
    <article>
      <p className="no-print">
        <Link href="/visits">Visits</Link> ·{" "}
        <Link href={`/sites/${encodeURIComponent(site.siteId)}`}>Site and its evidence</Link>
      </p>
      <h1>Grounding checklist: {site.name}</h1>
      <p>
        <Isolated since={view.isolatedSince} /> {visit.rank === null ? null : <Urgency value={visit.urgency} />} Visit{" "}
        {visit.visit_id}
        {visit.rank === null
          ? ", not in the queue any more"
          : `, ${visit.rank} in the queue, about ${visit.hours_on_site} h on site, needs ${visit.skills.join(", ") || "no particular skill"}`}
        . Records up to <When at={view.asOf} />.
      </p>
      <ul className="story" data-story>
        {view.story.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
      <p>
        <strong>{view.answer}</strong>
      </p>
      {view.closed ? <p className="note">This visit is closed. What is written now opens it again.</p> : null}
      <ul>
        {visit.reasons.map((reason) => (
          <li key={reason}>{reason}</li>
        ))}
      </ul>
      <section className="note danger" aria-label="Cautions">
        <h2 className="first">Before anything is touched</h2>
        <ul>
          {BEFORE_WORK.map((id) => (
            <li key={id}>{CAUTIONS[id]}</li>
          ))}
        </ul>
      </section>
      {visit.rank === null ? null : <Worth siteId={site.siteId} siteName={site.name} />}
      <WetLook view={view} />
      <BeforeWork steps={visit.before_work ?? []} />
      <VisitWork view={view} />
      <p className="no-print">
        <PaperLink visitId={visit.visit_id} paper="checklist" />, drawn to be filled in by hand. What is written of a
        visit has its report under Visits.
      </p>
      <SiteHeader site={site} />
      <h2>Checks, in the order of the walk ({visit.checklist.length})</h2>
      {visit.checklist.map((item, i) => (
        <CheckBlock key={i} item={item} number={i + 1} />
      ))}
      <StillOpen lines={visit.still_open ?? []} />
      <SignOff />
    </article>
  );
}

/** What a large site's visit leaves for the next. */
function StillOpen({ lines }: { lines: NonNullable<View["visit"]["still_open"]> }) {
  if (lines.length === 0) return null;
  const hours = lines.reduce((sum, line) => sum + line.minutes, 0) / 60;
  return (
    <section aria-label="Still open after this visit">
      <h2>
        Still open after this visit ({lines.length}, about {hours.toFixed(1)} h)
      </h2>
      <p>{STILL_OPEN_SAYS}</p>
      <ul>
        {openByCheck(lines).map(({ check, title, places }) => (
          <li key={check}>
            {title}: {places.join(", ")}
          </li>
        ))}
      </ul>
    </section>
  );
}

/** Of a claim site: what comes before anything is altered. */
function BeforeWork({ steps }: { steps: NonNullable<View["visit"]["before_work"]> }) {
  if (steps.length === 0) return null;
  return (
    <section className="check" aria-label="Before anything is altered">
      <h2 className="first">Before anything is altered: a claim is open</h2>
      {steps.map((step) => (
        <p key={step.step} data-step={step.step}>
          {step.says}
        </p>
      ))}
      <div className="blanks">
        <span className="line">asked, name</span>
        <span className="line">answer</span>
        <span className="line">date, time</span>
      </div>
    </section>
  );
}

function SiteHeader({ site }: { site: View["site"] }) {
  const hours =
    site.accessFrom && site.accessTo
      ? `${site.accessFrom} to ${site.accessTo} (${site.timeZone})`
      : "hours not recorded";
  const facts: [string, string][] = [
    ["Site", `${site.siteId}, ${site.portfolio}, ${site.latitude.toFixed(4)}, ${site.longitude.toFixed(4)}`],
    ["System", `${site.dcKw} kW DC, ${site.acKw} kW AC, ${orUnknown(site.mounting)}`],
    ["Contact", `${orUnknown(site.contactName)}, ${orUnknown(site.contactPhone)}`],
    ["Emergency", orUnknown(site.emergencyPhone)],
    ["Access", `${hours}${site.accessNote ? `, ${site.accessNote}` : ""}`],
    ["Code and authority", `NEC ${orUnknown(site.necEdition)}, ${orUnknown(site.permitAuthority)}`],
  ];
  return <Facts facts={facts} />;
}

function CheckBlock({ item, number }: { item: ChecklistItem; number: number }) {
  const where = [
    item.section_id ? `section ${item.section_id}` : null,
    item.inverter_id ? `inverter ${item.inverter_id}` : null,
  ]
    .filter(Boolean)
    .join(", ");
  return (
    <section className="check" data-check={item.check}>
      <h3>
        {number}. {words(item.check)}
        {where ? `: ${where}` : ""}
      </h3>
      <p>{item.says}</p>
      {(item.for_coverage ?? []).map((says) => (
        <p key={says}>
          <strong>For warranty and cover:</strong> {says}
        </p>
      ))}
      <dl>
        <dt>Accept</dt>
        <dd>{item.accept}</dd>
        <dt>Reference</dt>
        <dd>{item.code_reference ?? "none"}</dd>
        <dt>Caution</dt>
        <dd>{ownCaution(item.caution)}</dd>
      </dl>
      <div className="blanks">
        <span className="box">pass</span>
        <span className="box">fail</span>
        <span className="box">unable</span>
        {item.unit ? <span className="line">value, {item.unit}</span> : null}
        {item.unit ? <span className="line">instrument</span> : null}
        <span className="line">initials, time</span>
      </div>
    </section>
  );
}

function SignOff() {
  return (
    <section className="check">
      <h3>Sign-off</h3>
      <p>Left as found or as described below. What was not checked is a gap, not a pass.</p>
      <div className="blanks">
        <span className="line">cause found</span>
        <span className="line">what was done</span>
        <span className="line">tested after</span>
        <span className="line">name</span>
        <span className="line">licence</span>
        <span className="line">date, time</span>
      </div>
    </section>
  );
}
