import { bandedText } from "../core/banded.ts";
import { CAUSES, type Crew, type Instant, type SiteRecords, type Skill, type Visit } from "../core/records.ts";
import type { SiteCorrelation } from "../correlate/site-correlation.ts";
import { expectedAnnualLoss } from "../coverage/expected-annual-loss.ts";
import { type OpenDeadline, openDeadlines } from "../coverage/open-deadlines.ts";
import type { Diagnosis } from "../diagnose/diagnosis.ts";
import type { ProposedCheck } from "../diagnose/expected-information.ts";
import { type BeforeWork, beforeWork } from "../visit/before-work.ts";
import { type Checklist, type ChecklistItem, checklistFor } from "../visit/checklist.ts";
import { siteWiring } from "../visit/visit-steps.ts";
import { DEFAULT_DISPATCH_PARAMETERS, type DispatchParameters } from "./dispatch-parameters.ts";
import type { MakeSafeTrigger } from "./make-safe-trigger.ts";
import { type TripCost, tripCost } from "./trip-cost.ts";
import { URGENCIES, type Urgency, type UrgencyFinding, urgencyOf } from "./urgency.ts";
import { type Bookings, bookingsOf, openVisit, recentlyDone, visitIdFor } from "./visit-book.ts";
import { type ValueTerm, type VisitValue, visitValue } from "./visit-value.ts";

/** One site with what is believed of it. */
export interface ScoredSite {
  records: SiteRecords;
  diagnosis: Diagnosis;
  correlation: SiteCorrelation;
}

/** A visit worth making, the contract's fields first. Money in the account's currency. */
export interface QueuedVisit {
  visitId: string;
  /** 1 is first. */
  rank: number;
  siteId: string;
  urgency: Urgency;
  expectedLoss: number;
  expectedLossAvoided: number;
  visitCost: number;
  hoursOnSite: number;
  skills: Skill[];
  reasons: string[];
  checklist: ChecklistItem[];
  /** What does not fit into this visit and stays open for the next. */
  stillOpen: ChecklistItem[];
  /** Of a claim site: what comes before anything is altered. */
  beforeWork: BeforeWork[];
  /** Every term of the value with its unit. */
  terms: ValueTerm[];
  trip: TripCost;
  triggers: MakeSafeTrigger[];
  deadlines: OpenDeadline[];
  tools: string[];
}

export interface WatchedSite {
  siteId: string;
  reason: string;
  wouldChange: string;
  /** Every term of what a visit would be worth; empty where its money is not known. */
  terms: ValueTerm[];
}

export interface Queue {
  asOf: Instant;
  currency: string;
  visits: QueuedVisit[];
  /** By site id. */
  watch: WatchedSite[];
}

export interface QueueInput {
  sites: readonly ScoredSite[];
  crews: readonly Crew[];
  visits: readonly Visit[];
  accountCurrency: string;
  /** Account units for one unit of a currency. */
  rates: ReadonlyMap<string, number>;
  asOf: Instant;
  params?: DispatchParameters;
  /** Checks that would tell most about a site; asked only for those that are visited, because working it out is long. */
  nextTests?: (site: ScoredSite) => readonly ProposedCheck[];
}

type Placed = { visit: Omit<QueuedVisit, "rank"> } | { watch: WatchedSite };

/**
 * Which sites to visit, in order, and which only to watch and why.
 *
 * Order: make_safe before urgent before planned, whatever the money; inside a class expected loss avoided per cost of
 * the trip, then expected loss, then site id. make_safe and urgent sites are always queued, and so is a visit that has
 * been promised; a planned one only when it avoids more than it costs. Every site is in exactly one of the two lists.
 *
 * A site in a currency without an account rate goes to watch unless make_safe, whose money then rests on the account's
 * defaults. A site with a finished visit in the last `settleDays` and no ground fault since waits, unless make_safe or
 * urgent. Planned and promised visits keep their id.
 *
 * @shape O(sites x their records); deterministic, the order of the input does not matter
 * @throws RangeError when two sites share an id
 */
export function buildQueue(input: QueueInput): Queue {
  const params = input.params ?? DEFAULT_DISPATCH_PARAMETERS;
  const ids = new Set(input.sites.map((scored) => scored.records.site.siteId));
  if (ids.size !== input.sites.length) throw new RangeError("buildQueue requires each site once");
  const bookings = bookingsOf(input.visits);
  const placed = input.sites.map((scored) => place(scored, input, bookings, params));
  const visits = placed.flatMap((item) => ("visit" in item ? [item.visit] : [])).sort(inOrder);
  const watch = placed.flatMap((item) => ("watch" in item ? [item.watch] : []));
  return {
    asOf: input.asOf,
    currency: input.accountCurrency,
    visits: visits.map((visit, index) => ({ ...visit, rank: index + 1 })),
    watch: watch.sort((a, b) => (a.siteId < b.siteId ? -1 : 1)),
  };
}

const ratio = (visit: { expectedLossAvoided: number; visitCost: number }) =>
  visit.visitCost > 0 ? visit.expectedLossAvoided / visit.visitCost : 0;

function inOrder(a: Omit<QueuedVisit, "rank">, b: Omit<QueuedVisit, "rank">): number {
  return (
    URGENCIES.indexOf(a.urgency) - URGENCIES.indexOf(b.urgency) ||
    ratio(b) - ratio(a) ||
    b.expectedLoss - a.expectedLoss ||
    (a.siteId < b.siteId ? -1 : 1)
  );
}

function place(scored: ScoredSite, input: QueueInput, bookings: Bookings, params: DispatchParameters): Placed {
  const { records, diagnosis, correlation } = scored;
  const { site } = records;
  const booked = bookings.bySite.get(site.siteId) ?? [];
  const money = { accountCurrency: input.accountCurrency, rates: input.rates };
  const found = urgencyOf(records, diagnosis, input.asOf, params);
  const loss = expectedAnnualLoss(
    { records, diagnosis, correlation, asOf: input.asOf, money, params: params.loss },
    { ignoreRate: found.urgency === "make_safe" },
  );
  if ("kind" in loss) {
    const reason = `The site's money is in ${loss.currency}, for which the account has no rate into ${input.accountCurrency}.`;
    const also = found.reasons.length > 0 ? ` It would be ${found.urgency}: ${found.reasons.join(" ")}` : "";
    return {
      watch: {
        siteId: site.siteId,
        reason: reason + also,
        wouldChange: `A rate from ${loss.currency} to ${input.accountCurrency}.`,
        terms: [],
      },
    };
  }
  const wiring = siteWiring(records, input.asOf);
  const asked = { records, diagnosis, correlation, asOf: input.asOf, emergency: found.urgency === "make_safe", wiring };
  const checklist = checklistFor(asked);
  const trip = tripCost(site, checklist.hoursOnSite, checklist.skills, input.crews, params);
  const deadlines = openDeadlines(records, diagnosis, input.asOf, money, params.loss);
  const chances = { bonding: diagnosis.bondingDefect, causes: diagnosis.causes };
  const worthBy = (way: TripCost) => visitValue(loss, deadlines, way, params, chances);
  const value = worthBy(trip);
  const open = openVisit(booked);
  const watch =
    found.urgency === "planned" && open?.status !== "promised"
      ? watchReason(scored, value, booked, input, params)
      : null;
  if (watch) return { watch: { ...watch, terms: value.terms } };
  const visitId = open?.visitId ?? visitIdFor(site.siteId, bookings.visitIds);
  const told = input.nextTests?.(scored) ?? [];
  const full = told.length === 0 ? checklist : checklistFor({ ...asked, nextTests: told });
  const way = full === checklist ? trip : tripCost(site, full.hoursOnSite, full.skills, input.crews, params);
  const worth = full === checklist ? value : worthBy(way);
  return { visit: visitOf(scored, visitId, found, worth, full, way, deadlines, [...loss.assumed], open) };
}

function visitOf(
  scored: ScoredSite,
  visitId: string,
  found: UrgencyFinding,
  value: VisitValue,
  checklist: Checklist,
  trip: TripCost,
  deadlines: OpenDeadline[],
  assumed: string[],
  open: Visit | null,
): Omit<QueuedVisit, "rank"> {
  return {
    visitId,
    siteId: scored.records.site.siteId,
    urgency: found.urgency,
    expectedLoss: value.expectedLoss,
    expectedLossAvoided: value.expectedLossAvoided,
    visitCost: value.visitCost,
    hoursOnSite: checklist.hoursOnSite,
    skills: checklist.skills,
    reasons: [...reasonsFor(scored, found, value, trip, deadlines, assumed, open), ...leftOpen(checklist)],
    checklist: checklist.items,
    stillOpen: checklist.stillOpen,
    beforeWork: beforeWork(scored.records, found.urgency === "make_safe"),
    terms: value.terms,
    trip,
    triggers: found.triggers,
    deadlines,
    tools: checklist.tools,
  };
}

function leftOpen({ items, stillOpen }: Checklist): string[] {
  if (stillOpen.length === 0) return [];
  const all = items.length + stillOpen.length;
  return [
    `Not everything fits into one visit: this one takes the ${items.length} most telling of ${all} lines, ${stillOpen.length} stay open for the next.`,
  ];
}

const MAKE_SAFE_FIRST =
  "Call the owner: keep people off and do not reset. Isolate, and visit within 24 h; isolation stops AC and inverter current only, metal on the module side stays live in light.";

function reasonsFor(
  scored: ScoredSite,
  found: UrgencyFinding,
  value: VisitValue,
  trip: TripCost,
  deadlines: OpenDeadline[],
  assumed: string[],
  open: Visit | null,
): string[] {
  const { diagnosis } = scored;
  const reasons = [...found.reasons];
  if (found.urgency === "make_safe") reasons.push(MAKE_SAFE_FIRST);
  const lead = CAUSES.reduce((best, cause) => (diagnosis.causes[cause] > diagnosis.causes[best] ? cause : best));
  const chance = { p: diagnosis.causes[lead], ...diagnosis.causeBands[lead] };
  reasons.push(`Leading cause: ${lead.replaceAll("_", " ")}, probability ${bandedText(chance)}.`);
  reasons.push(`A visit is expected to avoid ${value.ratio.toFixed(1)} times what it costs.`);
  if (open?.status === "promised") reasons.push("This visit has been promised.");
  for (const deadline of deadlines.slice(0, 3)) reasons.push(deadline.says);
  if (trip.lacking.length > 0) reasons.push(`No crew has every skill it needs; lacking: ${trip.lacking.join(", ")}.`);
  if (assumed.length > 0) reasons.push(`Assumed: ${assumed.join("; ")}.`);
  return reasons;
}

function watchReason(
  scored: ScoredSite,
  value: VisitValue,
  booked: readonly Visit[],
  input: QueueInput,
  params: DispatchParameters,
): Omit<WatchedSite, "terms"> | null {
  const { siteId } = scored.records.site;
  const done = recentlyDone(booked, input.asOf, params.settleDays);
  if (done !== null && !scored.correlation.episodes.some((episode) => episode.onset > done)) {
    return {
      siteId,
      reason: `Visited in the last ${params.settleDays} days, and no ground fault since.`,
      wouldChange: "A new ground fault, a failed reading, or the end of that time.",
    };
  }
  if (value.ratio >= params.worthRatio) return null;
  const short = value.visitCost * params.worthRatio - value.expectedLossAvoided;
  const cost = `${Math.round(value.visitCost)} ${input.accountCurrency}`;
  return {
    siteId,
    reason: `A visit would cost ${cost} and is expected to avoid ${Math.round(value.expectedLossAvoided)} ${input.accountCurrency} a year; a bonding defect has probability ${bandedText(scored.diagnosis.bondingDefect)}. That is no clearance.`,
    wouldChange: `${Math.round(short)} ${input.accountCurrency} more of expected loss avoided: further ground faults in the wet, a failed reading, or a visit nearby that shortens the drive.`,
  };
}
