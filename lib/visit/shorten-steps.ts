import type { Instant, SiteRecords } from "../core/records.ts";
import type { SiteCorrelation } from "../correlate/site-correlation.ts";
import { CHECK_CATALOGUE } from "../grounding/check-catalogue.ts";
import type { VisitStep } from "./step-list.ts";

/** Longest work on site that one visit is planned for, min; what must be done goes beyond it. Judgement. */
export const VISIT_MINUTES = 210;
/** Evidence younger than this is not asked for again before older is, days. Judgement. */
const FRESH_DAYS = 180;
const DAY_MS = 86_400_000;

/** Steps of one section or inverter that are done, or left, together. */
interface Bundle {
  place: string;
  level: VisitStep["level"];
  steps: VisitStep[];
  onsets: number;
  /** The oldest evidence among its steps; null: some were never checked. */
  oldest: Instant | null;
}

/**
 * What of a long list fits into one visit. Repeats over sections and inverters are sampled, as the trade samples a large
 * array: what must be done stays, then voltage at every place, then the checks for the leading cause, then the rest; of
 * each, what was not checked lately first, at the places whose inverter logged most ground faults first, then where the evidence is
 * oldest. Steps of the site as a whole stay. Nobody works at a place before its voltage is measured.
 *
 * @param other minutes of the visit besides the steps
 * @returns every step is in one of the two lists
 */
export function shortenSteps(
  steps: readonly VisitStep[],
  records: SiteRecords,
  correlation: Pick<SiteCorrelation, "episodes">,
  asOf: Instant,
  other: number,
): { now: VisitStep[]; later: VisitStep[] } {
  const total = minutesOf(steps) + other;
  if (total <= VISIT_MINUTES) return { now: [...steps], later: [] };
  const site = steps.filter((step) => placeKey(step) === "");
  const taken = new Set<VisitStep>(site);
  let minutes = minutesOf(site) + other;
  const potentials = new Map(steps.filter((s) => s.check === "section_potential").map((s) => [placeKey(s), s]));
  for (const bundle of inOrder(bundlesOf(steps, records, correlation), asOf)) {
    const first = potentials.get(bundle.place);
    const more = [...(first ? [first] : []), ...bundle.steps].filter((step) => !taken.has(step));
    const needs = minutesOf([...new Set(more)]);
    if (bundle.level > 0 && minutes + needs > VISIT_MINUTES) continue;
    minutes += needs;
    for (const step of more) taken.add(step);
  }
  return { now: steps.filter((step) => taken.has(step)), later: steps.filter((step) => !taken.has(step)) };
}

const placeKey = ({ sectionId, inverterId }: VisitStep) =>
  sectionId !== null ? `section ${sectionId}` : inverterId !== null ? `inverter ${inverterId}` : "";
const minutesOf = (steps: readonly VisitStep[]) =>
  steps.reduce((sum, { check }) => sum + CHECK_CATALOGUE[check].minutes, 0);

function bundlesOf(
  steps: readonly VisitStep[],
  records: SiteRecords,
  correlation: Pick<SiteCorrelation, "episodes">,
): Bundle[] {
  const onsets = new Map<string, number>();
  for (const { inverterIds } of correlation.episodes)
    for (const id of inverterIds) onsets.set(id, (onsets.get(id) ?? 0) + 1);
  const feeds = new Map(records.sections.map((section) => [section.sectionId, section.inverterId]));
  const newest = new Map<string, Instant>();
  for (const { check, sectionId, inverterId, inspectedAt } of records.inspections) {
    const key = [check, sectionId ?? "", inverterId ?? ""].join("\n");
    newest.set(key, Math.max(newest.get(key) ?? Number.NEGATIVE_INFINITY, inspectedAt.at));
  }
  const bundles = new Map<string, Bundle>();
  for (const step of steps) {
    const place = placeKey(step);
    if (place === "") continue;
    const key = `${place}\n${step.level}`;
    const inverter = step.sectionId === null ? step.inverterId : (feeds.get(step.sectionId) ?? null);
    const seen = newest.get([step.check, step.sectionId ?? "", step.inverterId ?? ""].join("\n")) ?? null;
    const bundle = bundles.get(key);
    if (!bundle) {
      const count = inverter === null ? 0 : (onsets.get(inverter) ?? 0);
      bundles.set(key, { place, level: step.level, steps: [step], onsets: count, oldest: seen });
      continue;
    }
    bundle.steps.push(step);
    bundle.oldest = bundle.oldest === null || seen === null ? null : Math.min(bundle.oldest, seen);
  }
  return [...bundles.values()];
}

function inOrder(bundles: readonly Bundle[], asOf: Instant): Bundle[] {
  const isFresh = ({ oldest }: Bundle) => oldest !== null && asOf - oldest < FRESH_DAYS * DAY_MS;
  return [...bundles].sort(
    (a, b) =>
      Number(a.level > 0) - Number(b.level > 0) ||
      Number(isFresh(a)) - Number(isFresh(b)) ||
      a.level - b.level ||
      b.onsets - a.onsets ||
      (a.oldest ?? 0) - (b.oldest ?? 0) ||
      (a.place < b.place ? -1 : 1),
  );
}
