import Link from "next/link";
import { money, words } from "@/app/_ui/format.ts";
import { Isolated } from "@/app/_ui/isolated.tsx";
import { Probability } from "@/app/_ui/probability.tsx";
import { RainStripChart } from "@/app/_ui/rain-strip-chart.tsx";
import { IfMay } from "@/app/_ui/role.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { PaperLink, WrittenVisits } from "@/app/_ui/visit-papers.tsx";
import { When } from "@/app/_ui/when.tsx";
import { WorthTable } from "@/app/_ui/worth-table.tsx";
import type { FixLine } from "@/lib/reads/fixes-view.ts";
import type { GroundingPathView } from "@/lib/reads/grounding-path-view.ts";
import type { SiteMakeSafe } from "@/lib/reads/make-safe-view.ts";
import type { PathEditView } from "@/lib/reads/path-edit-view.ts";
import type { SiteTimeline, SiteView as View } from "@/lib/reads/site-view.ts";
import type { WrittenVisit } from "@/lib/reads/visits-view.ts";
import { EvidenceButton } from "../../coverage/sites/[siteId]/evidence-button.tsx";
import { CausesTable } from "./causes-table.tsx";
import { EvidenceChart } from "./evidence-chart.tsx";
import { FixWatch } from "./fix-watch.tsx";
import { GroundingPath } from "./grounding-path.tsx";
import { MakeSafePanel } from "./make-safe-panel.tsx";
import { NextTests } from "./next-tests.tsx";
import { Reasons } from "./reasons.tsx";
import { ScoreHistory } from "./score-history.tsx";
import { SiteRecordsTables } from "./site-records-tables.tsx";
import { TimelineChart } from "./timeline-chart.tsx";
import { WeatherPanel } from "./weather-panel.tsx";
import { WeatherPicture } from "./weather-picture.tsx";
import { WhatIf } from "./what-if.tsx";

interface Props {
  view: View;
  makeSafe: SiteMakeSafe | null;
  timeline: SiteTimeline | null;
  fixes: FixLine[];
  path: GroundingPathView | null;
  edit: PathEditView | null;
  written: WrittenVisit[];
}

export function SiteView({ view, makeSafe, timeline, fixes, path, edit, written }: Props) {
  const { site, score } = view;
  return (
    <>
      <p>
        <Link href="/sites">Ranked sites</Link>
      </p>
      <h1>{site.name}</h1>
      <p className="soft">
        {site.siteId} · {site.portfolio} · {site.dcKw} kW DC · {site.timeZone} · records up to <When at={view.asOf} />
      </p>
      <p className="answer">
        <Urgency value={view.urgency} /> <Isolated since={makeSafe?.open?.isolatedSince} />{" "}
        <strong>{view.answer}</strong>
      </p>
      {makeSafe ? <MakeSafePanel siteId={site.siteId} view={makeSafe} /> : null}
      <p className="no-print">
        <Link href={`/coverage/sites/${encodeURIComponent(site.siteId)}`}>
          Warranties, policies and deadlines of this site
        </Link>
      </p>
      <TwoNumbers view={view} />
      <Proposal view={view} />
      <h2>Twelve months</h2>
      <RainStripChart strip={view.strip} />
      <h2>Why: evidence, in decibans</h2>
      <p className="soft">
        Each item moves the odds of a bonding or grounding defect; together they give exactly the probability above. Ten
        decibans make it ten times as likely.
      </p>
      <Reasons evidence={score.evidence} />
      <EvidenceChart evidence={score.evidence} />
      <div className="pair">
        <CausesTable score={score} />
        <WeatherPanel view={view} />
      </div>
      <WeatherPicture siteId={site.siteId} />
      {path ? <GroundingPath view={path} edit={edit} /> : null}
      <NextTests siteId={site.siteId} />
      <IfMay operation="site.what_if">
        <WhatIf
          siteId={site.siteId}
          sectionIds={view.sections.map((s) => s.sectionId)}
          inverterIds={view.inverters.map((v) => v.inverterId)}
        />
      </IfMay>
      <h2>Rain, film of water and ground faults</h2>
      {timeline ? <TimelineChart siteId={site.siteId} first={timeline} /> : <p className="empty">No time line yet.</p>}
      <FixWatch siteId={site.siteId} fixes={fixes} />
      <section aria-label="Visit reports">
        <h2>Visit reports</h2>
        <WrittenVisits visits={written} />
      </section>
      <GapsAndNotes view={view} />
      <ScoreHistory history={view.history} />
      <SiteRecordsTables view={view} />
      <Tracing view={view} />
      <h2>Evidence file</h2>
      <EvidenceButton siteId={site.siteId} />
    </>
  );
}

function TwoNumbers({ view }: { view: View }) {
  const { bonding_defect, energized_metal } = view.score;
  return (
    <div className="pair">
      <section className="panel" aria-label="Probability of a bonding or grounding defect">
        <h2 className="first">Bonding or grounding defect</h2>
        <Probability value={bonding_defect} />
        <p className="soft">
          At least one cause of the bonding family is there now. The bar runs from 0 to 1; the band is the 5 % to 95 %
          range.
        </p>
      </section>
      <section className="panel" aria-label="Probability that touchable metal may be energised">
        <h2 className="first">Metal that may be energised</h2>
        <Probability value={energized_metal} />
        <p className="soft">
          A defect and a leak at once. Another question than the one beside it: a defect alone is silent until something
          leaks.
        </p>
      </section>
    </div>
  );
}

function Proposal({ view }: { view: View }) {
  const { visit, watch, currency } = view;
  if (visit) {
    return (
      <section className={`note${visit.urgency === "make_safe" ? " danger" : ""}`} aria-label="Queued visit">
        <strong>
          Visit {visit.rank} in the queue, about {visit.hours_on_site} h on site
        </strong>{" "}
        (expected to avoid {money(visit.expected_loss_avoided, currency)} a year for {money(visit.visit_cost, currency)}
        ). <Link href={`/visits/${encodeURIComponent(visit.visit_id)}`}>Checklist</Link>,{" "}
        <PaperLink visitId={visit.visit_id} paper="checklist" />
        <ul>
          {visit.reasons.map((reason) => (
            <li key={reason}>{reason}</li>
          ))}
        </ul>
        <WorthFold view={view} />
      </section>
    );
  }
  return (
    <section className="note" aria-label="On watch">
      <strong>On watch.</strong> {watch?.reason} What would change it: {watch?.wouldChange}
      <WorthFold view={view} />
    </section>
  );
}

function WorthFold({ view: { terms, currency, watch } }: { view: View }) {
  if (terms.length === 0) return null;
  return (
    <details>
      <summary>What {watch ? "a visit would be" : "the visit is"} worth, term by term</summary>
      <WorthTable terms={terms} currency={currency} wouldChange={watch?.wouldChange ?? null} />
    </details>
  );
}

function GapsAndNotes({ view }: { view: View }) {
  const { gaps, notes } = view.score;
  return (
    <div className="pair">
      <section>
        <h2>Gaps</h2>
        {gaps.length === 0 ? <p>No gap is known. That is no clearance.</p> : null}
        {gaps.map((gap) => (
          <p key={gap.says} className="note gap">
            <strong>{words(gap.what)}</strong>: {gap.says}
          </p>
        ))}
      </section>
      <section>
        <h2>Notes</h2>
        {notes.length === 0 ? <p className="soft">None.</p> : null}
        {notes.map((note) => (
          <p key={note} className="note">
            {note}
          </p>
        ))}
      </section>
    </div>
  );
}

function Counts({ title, unit, counts }: { title: string; unit: string; counts: Record<string, number> }) {
  return (
    <table>
      <caption>{title}</caption>
      <tbody>
        {Object.entries(counts).map(([name, n]) => (
          <tr key={name}>
            <th scope="row">{words(name.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`))}</th>
            <td className="num">
              {Math.round(n).toLocaleString("en-US")} {unit}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function Tracing({ view }: { view: View }) {
  const { computedFrom } = view;
  return (
    <section>
      <h2>How this score came about</h2>
      <p className="soft">
        Computed <When at={computedFrom.computedAt} /> from input {computedFrom.inputHash}, parameters{" "}
        {computedFrom.parameterVersion}, program {computedFrom.codeVersion}; {view.faultRows} fault rows,{" "}
        {view.episodesTotal} ground-fault episodes.
      </p>
      <details>
        <summary>How the log was read, and which hours count</summary>
        <div className="pair">
          <Counts title="Fault log" unit="" counts={view.logCounts} />
          <Counts title="Unit-hours left out" unit="h" counts={view.excludedUnitHours} />
        </div>
      </details>
    </section>
  );
}
