import type { Working } from "@/app/_ui/figure.tsx";
import { banded, decibanText, money, smallNumber, words } from "@/app/_ui/format.ts";
import { Sentence } from "@/app/_ui/units.tsx";
import { When } from "@/app/_ui/when.tsx";
import { WorthTable } from "@/app/_ui/worth-table.tsx";
import { WORKINGS } from "@/app/_words/site-evidence.ts";
import { EVIDENCE_HOW, EVIDENCE_WORKING, FIGURES, INPUTS, WORKING } from "@/app/_words/workings.ts";
import { BONDING_CAUSES, CAUSES, type Cause } from "@/lib/core/records.ts";
import type { SiteView } from "@/lib/reads/site-view.ts";

type Inputs = Working["inputs"];
const hours = (n: number) => Math.round(n).toLocaleString("en-US");
const sumOf = (view: SiteView) => view.score.evidence.reduce((sum, e) => sum + e.decibans, 0);

/** A cause with its interval where one is kept. */
export function causeFigure({ score }: SiteView, cause: Cause): string {
  const ends = score.cause_bands?.[cause];
  return ends ? banded({ p: score.causes[cause], ...ends }) : WORKING.notKnown;
}

/** What every figure of the newest score rests on. */
function traced({ asOf, computedFrom: c }: SiteView): Inputs {
  return [
    [WORKING.recordsUpTo, <When key="as-of" at={asOf} />],
    [WORKING.scoreOf(c.codeVersion, c.parameterVersion), WORKING.input(c.inputHash)],
  ];
}

const PARAMETERS = ["/parameters", WORKING.toParameters] as const;
const RECORDS = ["#records", WORKING.toRecords] as const;

/** The workings of every figure of the answer, the evidence and the history. */
export function siteWorkings(view: SiteView): Working[] {
  const { score } = view;
  const made = (id: string, told: { name: string; how: string; source: string }, figure: string, inputs: Inputs) => ({
    ...{ id, name: told.name, how: told.how, source: told.source, figure },
    inputs: [...inputs, ...traced(view)],
    links: [RECORDS, PARAMETERS],
  });
  const causes: Inputs = BONDING_CAUSES.map((cause) => [words(cause), causeFigure(view, cause)]);
  return [
    made("size", FIGURES.size, `${view.site.dcKw} kW`, [[INPUTS.size, WORKINGS.kwDc(view.site.dcKw)]]),
    made("bonding", FIGURES.bonding, banded(score.bonding_defect), [
      [INPUTS.evidence, String(score.evidence.length)],
      [INPUTS.sum, WORKING.decibans(decibanText(sumOf(view)))],
      ...causes,
    ]),
    made("energized", FIGURES.energized, banded(score.energized_metal), [
      ...causes,
      [INPUTS.faults, String(view.episodesTotal)],
    ]),
    ...CAUSES.map((cause) =>
      made(
        `cause-${cause}`,
        { ...FIGURES.cause, name: `${FIGURES.cause.name}: ${words(cause)}` },
        causeFigure(view, cause),
        [[INPUTS.evidence, String(score.evidence.length)]],
      ),
    ),
    ...weatherWorkings(view, made),
    ...score.evidence.map((e, i) => ({
      ...made(`evidence-${i}`, FIGURES.sum, WORKING.decibans(decibanText(e.decibans)), [
        [EVIDENCE_WORKING.what, <Sentence key="says" says={e.says} />],
      ]),
      name: EVIDENCE_WORKING.name(words(e.source)),
      how: `${EVIDENCE_HOW[e.source] ?? ""} ${EVIDENCE_WORKING.how}`.trim(),
      source: EVIDENCE_WORKING.source,
    })),
    made("without", FIGURES.without, WORKING.decibans(decibanText(sumOf(view))), [
      [INPUTS.evidence, String(score.evidence.length)],
    ]),
    made("sum", FIGURES.sum, WORKING.decibans(decibanText(sumOf(view))), [
      [INPUTS.evidence, String(score.evidence.length)],
    ]),
    made("bits", FIGURES.bits, "", [[INPUTS.sum, WORKING.decibans(decibanText(sumOf(view)))]]),
    made("outcome", FIGURES.outcome, "", [[INPUTS.sum, WORKING.decibans(decibanText(sumOf(view)))]]),
    made("gap", FIGURES.gap, String(score.gaps.length), [[FIGURES.gap.name, String(score.gaps.length)]]),
    made("note", FIGURES.note, String(score.notes.length), [[INPUTS.faults, String(view.episodesTotal)]]),
    made("counts", FIGURES.counts, hours(view.faultRows), [
      [INPUTS.rows, hours(view.faultRows)],
      [INPUTS.faults, hours(view.episodesTotal)],
    ]),
    made("log", FIGURES.log, hours(view.faultRows), [[INPUTS.rows, hours(view.faultRows)]]),
    ...proposalWorkings(view, made),
    ...historyWorkings(view),
  ];
}

type Made = (
  id: string,
  told: { name: string; how: string; source: string },
  figure: string,
  inputs: Inputs,
) => Working & { inputs: Inputs };

function weatherWorkings(view: SiteView, made: Made): Working[] {
  const w = view.score.weather;
  const { station } = view;
  const wet = INPUTS.onsets(w.wet_episodes, hours(w.wet_hours));
  const dry = INPUTS.onsets(w.dry_episodes, hours(w.dry_hours));
  const counted: Inputs = [
    [INPUTS.wet, wet],
    [INPUTS.dry, dry],
    [INPUTS.station, station.name ?? station.stationId ?? WORKING.notKnown],
  ];
  const ratio = w.rate_ratio === null ? WORKING.notKnown : w.rate_ratio.toFixed(1);
  return [
    made("rate-ratio", FIGURES.rateRatio, ratio, counted),
    made("p-value", FIGURES.pValue, smallNumber(w.p_value), counted),
    made("q-value", FIGURES.qValue, smallNumber(w.q_value), [[INPUTS.p, smallNumber(w.p_value)]]),
    made("wet", FIGURES.wet, wet, counted),
    made("dry", FIGURES.dry, dry, counted),
    made("station", FIGURES.station, station.name ?? station.stationId ?? WORKING.notKnown, [
      [INPUTS.station, <Sentence key="says" says={station.says} />],
      [INPUTS.known, station.coverage === null ? WORKING.notKnown : `${Math.round(station.coverage * 100)} %`],
    ]),
  ];
}

function proposalWorkings(view: SiteView, made: Made): Working[] {
  const { visit, watch, currency, terms } = view;
  const worth: Inputs = visit
    ? [
        [INPUTS.avoided, money(visit.expected_loss_avoided, currency)],
        [INPUTS.cost, money(visit.visit_cost, currency)],
      ]
    : [[INPUTS.avoided, INPUTS.noTrip]];
  return [
    made("rank", FIGURES.rank, visit ? String(visit.rank) : INPUTS.none, [
      [INPUTS.urgency, words(view.urgency)],
      ...worth,
    ]),
    made("on-site", FIGURES.onSite, visit ? `${visit.hours_on_site} h` : INPUTS.none, [
      [INPUTS.lines, String(visit?.checklist.length ?? 0)],
      [INPUTS.skills, visit?.skills.map(words).join(", ") || INPUTS.none],
    ]),
    {
      ...made("worth", FIGURES.worth, visit ? money(visit.expected_loss_avoided, currency) : INPUTS.none, worth),
      body:
        terms.length > 0 ? (
          <WorthTable terms={terms} currency={currency} wouldChange={watch?.wouldChange ?? null} />
        ) : null,
    },
    made("urgency", FIGURES.urgency, words(view.urgency), [
      [FIGURES.bonding.name, banded(view.score.bonding_defect)],
      [FIGURES.energized.name, banded(view.score.energized_metal)],
    ]),
  ];
}

/** Scores whose moves are told have a working of their own; all older ones share one. */
function historyWorkings({ history }: SiteView): Working[] {
  const own = history.flatMap((h, i): Working[] => {
    if (!h.moved) return [];
    const before = history[i - 1];
    const inputs: Inputs = [
      [INPUTS.computed, <When key="at" at={h.computedAt} />],
      [WORKING.recordsUpTo, <When key="as-of" at={h.asOf} />],
      [WORKING.scoreOf(h.codeVersion, h.parameterVersion), WORKING.input(h.inputHash)],
      ...(before ? [[INPUTS.before, banded(before)] as const] : []),
    ];
    const links = [RECORDS, PARAMETERS];
    return [
      { id: `score-${i}`, ...FIGURES.bonding, figure: banded(h), inputs, links },
      { id: `moved-${i}`, ...FIGURES.moved, figure: banded(h), inputs: [...inputs, [INPUTS.after, banded(h)]], links },
    ];
  });
  const [oldest] = history;
  const shared: Working = {
    ...{ id: "score-older", ...FIGURES.older, figure: oldest ? banded(oldest) : INPUTS.none },
    inputs: [[INPUTS.evidence, String(history.length)]],
    links: [RECORDS, PARAMETERS],
  };
  return [...own, shared];
}

/** The working of a sentence that says why a visit is queued. */
export function reasonWorking(reason: string): string {
  if (reason.startsWith("A bonding or grounding defect")) return "bonding";
  if (reason.startsWith("Energised metal")) return "energized";
  const cause = CAUSES.find((c) => reason.startsWith(`Leading cause: ${words(c)}`));
  if (cause) return `cause-${cause}`;
  return /times what it costs|expected to avoid/.test(reason) ? "worth" : "urgency";
}
