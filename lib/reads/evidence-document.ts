import "server-only";
import { bandedPercent } from "../core/banded.ts";
import { CAUSES } from "../core/records.ts";
import { bothIn, type Units } from "../core/units.ts";
import { isoInZone, localDay } from "../core/zoned-time.ts";
import { ALWAYS, CAUTIONS, type CautionId } from "../grounding/cautions.ts";
import type { ReportDocument, ReportSection } from "../report/report-document.ts";
import type { LogClock } from "../store/log-clocks.ts";
import { answerSentence, CAUSE_WORDS, causeChance } from "./answer-sentence.ts";
import { claimSections } from "./evidence-claim-sections.ts";
import type { EvidenceFacts } from "./evidence-facts.ts";
import { handSections } from "./evidence-path.ts";
import { recordSections } from "./evidence-records.ts";

/** What a reader of the file must know before going near the metal it is about. */
const STATED: readonly CautionId[] = [
  ...ALWAYS,
  "keep_bonds_closed",
  "no_load_break",
  "no_reset",
  "wet_roof",
  "qualified_person",
  "local_authority",
];

/**
 * The summary of an evidence file. Every number in it stands in score.json or in one of the lists, so that figures stay as
 * they stand there; who reads in US units has theirs in brackets.
 */
export function evidenceDocument(facts: EvidenceFacts, madeAt: number, units: Units = "metric"): ReportDocument {
  const { site, score, version } = facts;
  const at = (instant: number) => isoInZone(instant, site.timeZone);
  return {
    title: "Evidence file",
    subtitle: `${site.name} (${site.siteId})`,
    madeAt,
    footer: `${site.siteId}, records up to ${at(version.as_of.getTime())}`,
    facts: [
      ["Records used up to", at(version.as_of.getTime())],
      ["Made at", at(madeAt)],
      ["Book of sites", site.portfolio],
      ["Size", `${site.dcKw} kW DC, ${site.acKw} kW AC`],
      ["Commissioned on", site.commissionedOn ?? "not recorded"],
      ["Installer", site.installer ?? "not recorded"],
      ["Code edition", site.necEdition === null ? "not recorded" : `NEC ${site.necEdition}`],
      ["Parameter table", version.parameter_version],
      ["Code of the score", version.code_version],
      ["Fingerprint of what was used", version.input_hash],
    ],
    sections: [
      summary(facts),
      ...diagnosis(score),
      { heading: "Gaps", ...gaps(score) },
      times(facts, at),
      ...recordSections(facts, at, units),
      ...handSections(facts.hand, { timeZone: site.timeZone, at }),
      ...claimSections(facts, at),
      { heading: "Before anyone goes near the metal", paragraphs: STATED.map((id) => CAUTIONS[id]) },
      proof(),
    ].map((part) => inBoth(units, part)),
  };
}

/** A section with the reader's units beside those of the record. */
function inBoth(units: Units, { paragraphs, table, after, ...rest }: ReportSection): ReportSection {
  const said = (text: string) => (units === "metric" ? text : bothIn(units, text));
  return {
    ...rest,
    paragraphs: paragraphs.map(said),
    ...(after ? { after: after.map(said) } : {}),
    ...(table ? { table: { ...table, rows: table.rows.map((row) => row.map(said)) } } : {}),
  };
}

function summary({ score, version, detail }: EvidenceFacts): ReportSection {
  const { visit, watch } = version.proposal;
  const reasons = visit?.reasons ?? (watch ? [watch.reason, watch.would_change] : []);
  return {
    heading: "Summary",
    paragraphs: [
      answerSentence(score),
      `Urgency: ${version.urgency}. ${reasons.join(" ")}`,
      `${detail.episodes.length} ground-fault episodes are in its log. ${detail.station.says}`,
      "This is a probability from records, not a finding on site: only a measurement or a look at the part tells. The records themselves lie beside this summary.",
    ],
  };
}

function diagnosis(score: EvidenceFacts["score"]): ReportSection[] {
  const w = score.weather;
  const ratio =
    w.rate_ratio === null || w.low === null || w.high === null
      ? "No ratio of ground faults in wet and dry hours can be given."
      : `Ground faults per hour at risk, wet over dry: ${w.rate_ratio.toFixed(2)} (95 % interval ${w.low.toFixed(2)} to ${w.high.toFixed(2)}).`;
  return [
    {
      heading: "Diagnosis",
      paragraphs: [
        `Bonding or grounding defect present: ${bandedPercent(score.bonding_defect)}.`,
        `Touchable metal may be energised: ${bandedPercent(score.energized_metal)}.`,
        "In brackets: the 5 % and 95 % points under the uncertainty of the parameters.",
      ],
      table: {
        columns: [
          { head: "Cause (several may be present)", share: 4 },
          { head: "Probability", share: 2, right: true },
        ],
        rows: CAUSES.toSorted((a, b) => score.causes[b] - score.causes[a]).map((c) => [
          CAUSE_WORDS[c],
          causeChance(score, c),
        ]),
      },
    },
    {
      heading: "What the diagnosis rests on",
      paragraphs: ["Weights in decibans, 10 log10 of the odds; they add up to the probability of a defect."],
      table: {
        columns: [
          { head: "Decibans", share: 1, right: true },
          { head: "Source", share: 2 },
          { head: "Says", share: 7 },
        ],
        rows: score.evidence.map((e) => [e.decibans.toFixed(1), e.source, e.says]),
      },
      after: [
        `Weather: ${w.driver}. ${ratio} ${w.wet_episodes} episodes in ${w.wet_hours.toFixed(0)} wet unit-hours, ${w.dry_episodes} in ${w.dry_hours.toFixed(0)} dry ones.`,
        ...score.notes,
      ],
    },
  ];
}

function gaps(score: EvidenceFacts["score"]): Omit<ReportSection, "heading"> {
  const first = "What is not recorded counts neither for nor against a defect: a gap is not a pass.";
  if (score.gaps.length === 0)
    return { paragraphs: [first, "No gap was found by the program's own list; others may be there."] };
  return { paragraphs: [first, ...score.gaps.map((g) => g.says)] };
}

function times({ site, clocks, detail }: EvidenceFacts, at: (instant: number) => string): ReportSection {
  const window = detail.window
    ? [`The log counts from ${at(detail.window.from)} to ${at(detail.window.to)}.`]
    : ["No log is recorded, so no hour counts."];
  return {
    heading: "Times and clocks",
    paragraphs: [
      `Times in this summary are local to the site (${site.timeZone}) with their offset from UTC; times in the lists are UTC. A date alone means some time on that local day.`,
      "The lists hold times as logged. Corrections below were applied for the diagnosis only.",
      ...clocks.map((clock) => clockSentence(clock, site.timeZone)),
      ...window,
    ],
  };
}

function clockSentence({ source, correction, proposal }: LogClock, timeZone: string): string {
  const hours = (c: { offsetHours: number; summerHours: number }) =>
    `${c.offsetHours} h${c.summerHours === 0 ? "" : ` and ${c.summerHours} h more in summer time`}`;
  const open = proposal ? ` A correction by ${hours(proposal)} is proposed and not accepted.` : "";
  if (!correction) return `Log ${source}: used as logged.${open}`;
  const when = localDay(correction.acceptedAt, timeZone);
  return `Log ${source}: its clock ran ahead by ${hours(correction)}, accepted by ${correction.acceptedBy} on ${when} (${correction.reason}).${open}`;
}

function proof(): ReportSection {
  return {
    heading: "How to check this file",
    paragraphs: [
      "manifest.json holds size and SHA-256 of every part. The command verify of Raintrip, given that manifest, needs no database and names each part that was changed, is missing or was added; any tool that computes SHA-256 can do the same by hand.",
      "The seal in the manifest was entered in the audit log of the installation that made the file. Whoever must exclude that all parts and the manifest were made anew asks the maker for that entry.",
    ],
  };
}
