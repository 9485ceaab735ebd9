import { BONDING_CAUSES, CAUSES, type Cause, type Instant, type SiteRecords } from "../core/records.ts";
import type { VisitOutcome } from "./learning.ts";
import { type ParameterTable, parameter, valuesOf } from "./parameters.ts";

/** A check that finds its cause this often settles whether the cause is there; a weaker one only hints. Judgement. */
const SETTLES = 0.6;

/** What a visit of one day settled at a site. */
export interface ConfirmedVisit {
  siteId: string;
  day: string;
  /** First instant that the day's records may stand for; only a score from before it is a forecast. */
  at: Instant;
  found: readonly Cause[];
  lookedFor: readonly Cause[];
  inspectors: readonly string[];
}

/** Causes that a check settles. */
function settledBy(table: ParameterTable): Map<string, Cause[]> {
  const values = valuesOf(table);
  const out = new Map<string, Cause[]>();
  for (const { key } of table.rows) {
    const [head, check, cause] = key.split(".");
    if (head !== "check" || !check || !(CAUSES as readonly string[]).includes(cause ?? "")) continue;
    if (parameter(values, key) >= SETTLES) out.set(check, [...(out.get(check) ?? []), cause as Cause]);
  }
  return out;
}

/**
 * What was confirmed at a site, a visit a day. A repair says it by `confirmed`: yes, the cause was there; no, it was
 * looked for and was not. A check says it of the causes that it mostly finds. A cause nobody looked for is in neither
 * list, however quiet the day, and a cause both found and missed on one day counts as found.
 * @returns by day; days that settled nothing are left out
 */
export function confirmedVisits({ site, inspections, repairs }: SiteRecords, table: ParameterTable): ConfirmedVisit[] {
  const settles = settledBy(table);
  const days = new Map<string, { at: Instant; found: Set<Cause>; looked: Set<Cause>; inspectors: Set<string> }>();
  const dayOf = (moment: { at: Instant; day: string }) => {
    const day = days.get(moment.day) ?? { at: moment.at, found: new Set(), looked: new Set(), inspectors: new Set() };
    day.at = Math.min(day.at, moment.at);
    days.set(moment.day, day);
    return day;
  };
  for (const { repairedAt, cause, confirmed } of repairs) {
    if (confirmed === null || cause === "none_found") continue;
    const day = dayOf(repairedAt);
    day.looked.add(cause);
    if (confirmed === "yes") day.found.add(cause);
  }
  for (const { inspectedAt, check, outcome, inspector } of inspections) {
    const causes = settles.get(check);
    if (!causes || outcome === "unable") continue;
    const day = dayOf(inspectedAt);
    for (const cause of causes) {
      day.looked.add(cause);
      if (outcome === "fail") day.found.add(cause);
    }
    if (inspector) day.inspectors.add(inspector);
  }
  return [...days]
    .filter(([, { looked }]) => looked.size > 0)
    .map(([day, { at, found, looked, inspectors }]) => ({
      siteId: site.siteId,
      day,
      at,
      found: CAUSES.filter((c) => found.has(c)),
      lookedFor: CAUSES.filter((c) => looked.has(c)),
      inspectors: [...inspectors].sort(),
    }))
    .sort((a, b) => a.at - b.at);
}

/**
 * Whether the visit settled if there was a bonding-family defect: yes when one was found; no only when the one that was
 * held most likely was looked for and none was found. Null: not settled.
 */
export function bondingOutcome({ found, lookedFor, stated }: VisitOutcome): boolean | null {
  const family = BONDING_CAUSES as readonly Cause[];
  if (found.some((cause) => family.includes(cause))) return true;
  const likeliest = [...family].sort((a, b) => stated[b] - stated[a])[0] as Cause;
  return lookedFor.includes(likeliest) ? false : null;
}
