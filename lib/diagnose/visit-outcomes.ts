import { BONDING_CAUSES, CAUSES, type Cause, type Inspection, type Instant, type Repair } from "../core/records.ts";
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
  /** A check failed that finds several bonding causes alike: one of them is there, and which is not settled. */
  bondingFound: boolean;
  inspectors: readonly string[];
}

/** The records of a site that can confirm anything. */
export interface ConfirmingRecords {
  siteId: string;
  inspections: readonly Pick<Inspection, "inspectedAt" | "check" | "outcome" | "inspector">[];
  repairs: readonly Pick<Repair, "repairedAt" | "cause" | "confirmed">[];
}

const settledIn = new WeakMap<ParameterTable, Map<string, Cause[]>>();

/** Causes that a check settles; worked out once a table. */
function settledBy(table: ParameterTable): Map<string, Cause[]> {
  const known = settledIn.get(table);
  if (known) return known;
  const values = valuesOf(table);
  const out = new Map<string, Cause[]>();
  for (const { key } of table.rows) {
    const [head, check, cause] = key.split(".");
    if (head !== "check" || !check || !(CAUSES as readonly string[]).includes(cause ?? "")) continue;
    if (parameter(values, key) >= SETTLES) out.set(check, [...(out.get(check) ?? []), cause as Cause]);
  }
  settledIn.set(table, out);
  return out;
}

const FAMILY: readonly Cause[] = BONDING_CAUSES;

interface Day {
  at: Instant;
  found: Set<Cause>;
  looked: Set<Cause>;
  bonding: boolean;
  inspectors: Set<string>;
}
const newDay = (at: Instant): Day => ({
  at,
  found: new Set(),
  looked: new Set(),
  bonding: false,
  inspectors: new Set(),
});

/**
 * What was confirmed at a site, a visit a day. A repair says it by `confirmed`: yes, the cause was there; no, it was
 * looked for and was not. A check says it of the causes that it mostly finds. A cause nobody looked for is in neither
 * list, however quiet the day, and a cause both found and missed on one day counts as found.
 * @returns by day; days that settled nothing are left out
 */
export function confirmedVisits(
  { siteId, inspections, repairs }: ConfirmingRecords,
  table: ParameterTable,
): ConfirmedVisit[] {
  const settles = settledBy(table);
  const days = new Map<string, Day>();
  const dayOf = (moment: { at: Instant; day: string }) => {
    const day = days.get(moment.day) ?? newDay(moment.at);
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
    const apart = outcome === "pass" || causes.length === 1;
    for (const cause of apart ? causes : []) {
      day.looked.add(cause);
      if (outcome === "fail") day.found.add(cause);
    }
    if (!apart && causes.every((c) => FAMILY.includes(c))) day.bonding = true;
    if (inspector) day.inspectors.add(inspector);
  }
  return [...days]
    .filter(([, { looked, bonding }]) => looked.size > 0 || bonding)
    .map(([day, { at, found, looked, bonding, inspectors }]) => ({
      siteId,
      day,
      at,
      found: CAUSES.filter((c) => found.has(c)),
      lookedFor: CAUSES.filter((c) => looked.has(c)),
      bondingFound: bonding || FAMILY.some((c) => found.has(c)),
      inspectors: [...inspectors].sort(),
    }))
    .sort((a, b) => a.at - b.at);
}

/**
 * Whether a visit settled if there was a bonding-family defect: yes when one was found; no only when the cause that was
 * held most likely was looked for and none was found. Null: not settled.
 */
export function bondingOutcome(visit: ConfirmedVisit, stated: VisitOutcome["stated"]): boolean | null {
  if (visit.bondingFound) return true;
  const likeliest = [...FAMILY].sort((a, b) => stated[b] - stated[a])[0] as Cause;
  return visit.lookedFor.includes(likeliest) ? false : null;
}
