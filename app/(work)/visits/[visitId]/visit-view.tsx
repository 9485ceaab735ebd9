import Link from "next/link";
import { Facts } from "@/app/_ui/facts.tsx";
import { orUnknown, words } from "@/app/_ui/format.ts";
import { Isolated } from "@/app/_ui/isolated.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { PaperLink } from "@/app/_ui/visit-papers.tsx";
import { When } from "@/app/_ui/when.tsx";
import { Worth } from "@/app/_ui/worth.tsx";
import { VISIT_VIEW } from "@/app/_words/visit.ts";
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
        <Link href="/visits">{VISIT_VIEW.visits}</Link> ·{" "}
        <Link href={`/sites/${encodeURIComponent(site.siteId)}`}>{VISIT_VIEW.siteAndItsEvidence}</Link>
      </p>
      <h1>{VISIT_VIEW.groundingChecklist(site.name)}</h1>
      <p>
        <Isolated since={view.isolatedSince} /> {visit.rank === null ? null : <Urgency value={visit.urgency} />}{" "}
        {VISIT_VIEW.visitRecordsUpTo(
          visit.visit_id,
          visit.rank === null
            ? VISIT_VIEW.notInTheQueue
            : VISIT_VIEW.inTheQueueAbout(
                visit.rank,
                visit.hours_on_site,
                visit.skills.join(", ") || VISIT_VIEW.noParticularSkill,
              ),
        )}{" "}
        <When at={view.asOf} />.
      </p>
      <ul className="story" data-story>
        {view.story.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
      <p>
        <strong>{view.answer}</strong>
      </p>
      {view.closed ? <p className="note">{VISIT_VIEW.thisVisitIsClosed}</p> : null}
      <ul>
        {visit.reasons.map((reason) => (
          <li key={reason}>{reason}</li>
        ))}
      </ul>
      <section className="note danger" aria-label={VISIT_VIEW.cautions}>
        <h2 className="first">{VISIT_VIEW.beforeAnythingIsTouched}</h2>
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
        <PaperLink visitId={visit.visit_id} paper="checklist" />
        {VISIT_VIEW.drawnToBeFilled}
      </p>
      <SiteHeader site={site} />
      <h2>{VISIT_VIEW.checksInTheOrder(visit.checklist.length)}</h2>
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
    <section aria-label={VISIT_VIEW.stillOpenAfterThis}>
      <h2>{VISIT_VIEW.stillOpenAfterThisVisit(lines.length, hours.toFixed(1))}</h2>
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
    <section className="check" aria-label={VISIT_VIEW.beforeAnythingIsAltered}>
      <h2 className="first">{VISIT_VIEW.beforeAnythingIsAlteredA}</h2>
      {steps.map((step) => (
        <p key={step.step} data-step={step.step}>
          {step.says}
        </p>
      ))}
      <div className="blanks">
        <span className="line">{VISIT_VIEW.askedName}</span>
        <span className="line">{VISIT_VIEW.answer}</span>
        <span className="line">{VISIT_VIEW.dateTime}</span>
      </div>
    </section>
  );
}

function SiteHeader({ site }: { site: View["site"] }) {
  const hours =
    site.accessFrom && site.accessTo
      ? `${site.accessFrom} to ${site.accessTo} (${site.timeZone})`
      : VISIT_VIEW.hoursNotRecorded;
  const facts: [string, string][] = [
    [VISIT_VIEW.site, `${site.siteId}, ${site.portfolio}, ${site.latitude.toFixed(4)}, ${site.longitude.toFixed(4)}`],
    [VISIT_VIEW.system, VISIT_VIEW.kwDcKwAc(site.dcKw, site.acKw, orUnknown(site.mounting))],
    [VISIT_VIEW.contact, `${orUnknown(site.contactName)}, ${orUnknown(site.contactPhone)}`],
    [VISIT_VIEW.emergency, orUnknown(site.emergencyPhone)],
    [VISIT_VIEW.access, `${hours}${site.accessNote ? `, ${site.accessNote}` : ""}`],
    [VISIT_VIEW.codeAndAuthority, VISIT_VIEW.nec(orUnknown(site.necEdition), orUnknown(site.permitAuthority))],
  ];
  return <Facts facts={facts} />;
}

function CheckBlock({ item, number }: { item: ChecklistItem; number: number }) {
  const where = [
    item.section_id ? VISIT_VIEW.section(item.section_id) : null,
    item.inverter_id ? VISIT_VIEW.inverter(item.inverter_id) : null,
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
          <strong>{VISIT_VIEW.forWarrantyAndCover}</strong> {says}
        </p>
      ))}
      <dl>
        <dt>{VISIT_VIEW.accept}</dt>
        <dd>{item.accept}</dd>
        <dt>{VISIT_VIEW.reference}</dt>
        <dd>{item.code_reference ?? VISIT_VIEW.none}</dd>
        <dt>{VISIT_VIEW.caution}</dt>
        <dd>{ownCaution(item.caution)}</dd>
      </dl>
      <div className="blanks">
        <span className="box">{VISIT_VIEW.pass}</span>
        <span className="box">{VISIT_VIEW.fail}</span>
        <span className="box">{VISIT_VIEW.unable}</span>
        {item.unit ? <span className="line">{VISIT_VIEW.value(item.unit)}</span> : null}
        {item.unit ? <span className="line">{VISIT_VIEW.instrument}</span> : null}
        <span className="line">{VISIT_VIEW.initialsTime}</span>
      </div>
    </section>
  );
}

function SignOff() {
  return (
    <section className="check">
      <h3>{VISIT_VIEW.signOff}</h3>
      <p>{VISIT_VIEW.leftAsFoundOr}</p>
      <div className="blanks">
        <span className="line">{VISIT_VIEW.causeFound}</span>
        <span className="line">{VISIT_VIEW.whatWasDone}</span>
        <span className="line">{VISIT_VIEW.testedAfter}</span>
        <span className="line">{VISIT_VIEW.name}</span>
        <span className="line">{VISIT_VIEW.licence}</span>
        <span className="line">{VISIT_VIEW.dateTime}</span>
      </div>
    </section>
  );
}
