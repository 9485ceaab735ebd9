import Link from "next/link";
import { Figure, Workings } from "@/app/_ui/figure.tsx";
import { money, words } from "@/app/_ui/format.ts";
import { Isolated } from "@/app/_ui/isolated.tsx";
import { PhoneFold } from "@/app/_ui/phone-fold.tsx";
import { Probability } from "@/app/_ui/probability.tsx";
import { RainStripChart } from "@/app/_ui/rain-strip-chart.tsx";
import { IfMay } from "@/app/_ui/role.tsx";
import { Term } from "@/app/_ui/term.tsx";
import { Sentence } from "@/app/_ui/units.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { PaperLink, WrittenVisits } from "@/app/_ui/visit-papers.tsx";
import { When } from "@/app/_ui/when.tsx";
import { SITE_VIEW } from "@/app/_words/site.ts";
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
import { SiteContracts, SiteRecordsTables } from "./site-records-tables.tsx";
import { TimelineChart } from "./timeline-chart.tsx";
import { WeatherPanel } from "./weather-panel.tsx";
import { WeatherPicture } from "./weather-picture.tsx";
import { WhatIf } from "./what-if.tsx";
import { reasonWorking, siteWorkings } from "./workings.tsx";

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
  const { site } = view;
  return (
    <>
      <p>
        <Link href="/sites">{SITE_VIEW.rankedSites}</Link>
      </p>
      <section aria-label={SITE_VIEW.theAnswer} data-part="answer">
        <h1>{site.name}</h1>
        <p className="soft">
          <a href="#records">{site.siteId}</a> · {site.portfolio} ·{" "}
          <Figure of="size">{SITE_VIEW.kwDc(site.dcKw)}</Figure> {SITE_VIEW.recordsUpTo(site.timeZone)}{" "}
          <When at={view.asOf} />
        </p>
        <p className="answer">
          <Urgency value={view.urgency} /> <Isolated since={makeSafe?.open?.isolatedSince} />{" "}
          <strong>
            {view.answer.map(({ text, of }) =>
              of ? (
                <Figure key={text} of={of}>
                  {text}
                </Figure>
              ) : (
                text
              ),
            )}
          </strong>
        </p>
        {makeSafe ? <MakeSafePanel siteId={site.siteId} view={makeSafe} /> : null}
        <Proposal view={view} />
        <TwoNumbers view={view} />
      </section>
      <Evidence view={view} />
      <section aria-label={SITE_VIEW.rainAndFaults} data-part="picture">
        <h2>{SITE_VIEW.twelveMonths}</h2>
        <RainStripChart strip={view.strip} />
        <PhoneFold title={SITE_VIEW.rainFilmOfWater}>
          {timeline ? (
            <TimelineChart siteId={site.siteId} first={timeline} />
          ) : (
            <p className="empty">{SITE_VIEW.noTimeLineYet}</p>
          )}
        </PhoneFold>
        <WeatherPicture siteId={site.siteId} />
      </section>
      {path ? <GroundingPath view={path} edit={edit} /> : null}
      <section aria-label={SITE_VIEW.records} id="records" data-part="records">
        <SiteRecordsTables view={view} />
      </section>
      <section aria-label={SITE_VIEW.visits} data-part="visits">
        <h2>{SITE_VIEW.visitReports}</h2>
        <WrittenVisits visits={written} />
        <FixWatch siteId={site.siteId} fixes={fixes} />
      </section>
      <section aria-label={SITE_VIEW.coverage} data-part="coverage">
        <SiteContracts view={view} />
        <h2>{SITE_VIEW.evidenceFile}</h2>
        <EvidenceButton siteId={site.siteId} />
      </section>
      <section aria-label={SITE_VIEW.history} data-part="history">
        <ScoreHistory history={view.history} zone={site.timeZone} />
        <Tracing view={view} />
      </section>
      <Workings list={siteWorkings(view)} />
    </>
  );
}

function Evidence({ view }: { view: View }) {
  const { site, score } = view;
  return (
    <section aria-label={SITE_VIEW.evidence} data-part="evidence">
      <h2>{SITE_VIEW.whyEvidenceInDecibans}</h2>
      <p className="soft">
        {SITE_VIEW.eachItemMovesThe} <Term id="deciban">{SITE_VIEW.decibans}</Term> {SITE_VIEW.makeItTenTimes}
      </p>
      <Reasons evidence={score.evidence} />
      <PhoneFold title={SITE_VIEW.itemByItem} level={3}>
        <EvidenceChart evidence={score.evidence} />
      </PhoneFold>
      <div className="pair">
        <CausesTable view={view} />
        <WeatherPanel view={view} />
      </div>
      <GapsAndNotes view={view} />
      <NextTests siteId={site.siteId} />
      <IfMay operation="site.what_if">
        <WhatIf
          siteId={site.siteId}
          sectionIds={view.sections.map((s) => s.sectionId)}
          inverterIds={view.inverters.map((v) => v.inverterId)}
        />
      </IfMay>
    </section>
  );
}

function TwoNumbers({ view }: { view: View }) {
  const { bonding_defect, energized_metal } = view.score;
  return (
    <div className="pair">
      <section className="panel" aria-label={SITE_VIEW.probabilityOfABonding}>
        <h2 className="first">{SITE_VIEW.bondingOrGroundingDefect}</h2>
        <Figure of="bonding">
          <Probability value={bonding_defect} />
        </Figure>
        <p className="soft">
          {SITE_VIEW.atLeastOneCause} <Term id="band">{SITE_VIEW.band}</Term>.
        </p>
      </section>
      <section className="panel" aria-label={SITE_VIEW.probabilityThatTouchableMetal}>
        <h2 className="first">{SITE_VIEW.metalThatMayBe}</h2>
        <Figure of="energized">
          <Probability value={energized_metal} />
        </Figure>
        <p className="soft">{SITE_VIEW.aDefectAndA}</p>
      </section>
    </div>
  );
}

function Proposal({ view }: { view: View }) {
  const { visit, watch, currency } = view;
  if (visit) {
    return (
      <section className={`note${visit.urgency === "make_safe" ? " danger" : ""}`} aria-label={SITE_VIEW.queuedVisit}>
        <strong>
          <Figure of="rank">{SITE_VIEW.visitInTheQueue(visit.rank)}</Figure>,{" "}
          <Figure of="on-site">{SITE_VIEW.aboutHOnSite(visit.hours_on_site)}</Figure>
        </strong>{" "}
        (
        <Figure of="worth">
          {SITE_VIEW.expectedToAvoidA(money(visit.expected_loss_avoided, currency), money(visit.visit_cost, currency))}
        </Figure>
        ). <Link href={`/visits/${encodeURIComponent(visit.visit_id)}`}>{SITE_VIEW.checklist}</Link>,{" "}
        <PaperLink visitId={visit.visit_id} paper="checklist" />
        <ul>
          {visit.reasons.map((reason) => (
            <li key={reason}>
              <Told says={reason} of={reasonWorking(reason)} />
            </li>
          ))}
        </ul>
      </section>
    );
  }
  return (
    <section className="note" aria-label={SITE_VIEW.onWatch}>
      <strong>{SITE_VIEW.onWatch2}</strong> <Told says={watch?.reason ?? ""} of="worth" /> {SITE_VIEW.whatWouldChangeIt}{" "}
      <Told says={watch?.wouldChange ?? ""} of="worth" />
    </section>
  );
}

/** A sentence of the program; where it holds a figure, all of it opens the working. */
function Told({ says, of }: { says: string; of: string }) {
  return /\d/.test(says) ? (
    <Figure of={of}>
      <Sentence says={says} />
    </Figure>
  ) : (
    <Sentence says={says} />
  );
}

function GapsAndNotes({ view }: { view: View }) {
  const { gaps, notes } = view.score;
  return (
    <div className="pair">
      <section>
        <h2>{SITE_VIEW.gaps}</h2>
        {gaps.length === 0 ? <p>{SITE_VIEW.noGapIsKnown}</p> : null}
        {gaps.map((gap) => (
          <p key={gap.says} className="note gap">
            <strong>{words(gap.what)}</strong>: <Told says={gap.says} of="gap" />
          </p>
        ))}
      </section>
      <section>
        <h2>{SITE_VIEW.notes}</h2>
        {notes.length === 0 ? <p className="soft">{SITE_VIEW.none}</p> : null}
        {notes.map((note) => (
          <p key={note} className="note">
            <Told says={note} of="note" />
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
              <Figure of="log">
                {Math.round(n).toLocaleString("en-US")} {unit}
              </Figure>
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
      <PhoneFold title={SITE_VIEW.howThisScoreCame}>
        <p className="soft">
          {SITE_VIEW.computed} <When at={computedFrom.computedAt} /> {SITE_VIEW.from}{" "}
          <Figure of="bonding">
            {SITE_VIEW.inputParametersProgram(
              computedFrom.inputHash,
              computedFrom.parameterVersion,
              computedFrom.codeVersion,
            )}
          </Figure>
          ;{" "}
          <Figure of="counts">
            {SITE_VIEW.faultRowsGroundFault(
              view.faultRows.toLocaleString("en-US"),
              view.episodesTotal.toLocaleString("en-US"),
            )}
          </Figure>
          .
        </p>
        <details>
          <summary>{SITE_VIEW.howTheLogWas}</summary>
          <div className="pair">
            <Counts title={SITE_VIEW.faultLog} unit="" counts={view.logCounts} />
            <Counts title={SITE_VIEW.unitHoursLeftOut} unit="h" counts={view.excludedUnitHours} />
          </div>
        </details>
      </PhoneFold>
    </section>
  );
}
