import type { Check, Crew, Instant, LocalDay, Site, Skill, Visit } from "../../core/records.ts";
import { instantFromWall } from "../../core/zoned-time.ts";
import type { DispatchParameters } from "../dispatch-parameters.ts";
import type { Urgency } from "../urgency.ts";
import { clockMinutes, crewDaysOf, planDays } from "./crew-days.ts";
import { daylight } from "./daylight.ts";
import { forecastClosed, type SiteForecast } from "./forecast-closed.ts";
import { legsByRoadFactor } from "./legs.ts";
import type { PlanInstance, PlanVisit, Span, Tier } from "./plan-instance.ts";
import type { PlanParameters } from "./plan-parameters.ts";
import { intersectSpans, withoutSpans } from "./spans.ts";
import type { UnservedCode } from "./unserved.ts";

/** What a plan needs of a queued visit. */
export interface VisitToPlan {
  visitId: string;
  siteId: string;
  urgency: Urgency;
  /** null: its money is not known, which counts as none. */
  expectedLossAvoided: number | null;
  hoursOnSite: number;
  skills: readonly Skill[];
  checks: readonly Check[];
}

export interface PlanRequest {
  from: LocalDay;
  days: number;
  visits: readonly VisitToPlan[];
  sites: ReadonlyMap<string, Site>;
  crews: readonly Crew[];
  /** Recorded visits; those promised keep their time and crew. */
  booked: readonly Visit[];
  forecasts: ReadonlyMap<string, SiteForecast>;
  dispatch: DispatchParameters;
  params: PlanParameters;
}

export interface PlanInputs {
  instance: PlanInstance;
  /** Visits that are no part of these days. */
  elsewhere: { visitId: string; siteId: string; code: UnservedCode; why: string }[];
  /** What was assumed or could not be used. */
  notes: string[];
}

const DAY_MS = 86_400_000;
/** Checks that put a meter or hands on metal that may be live. */
const LIVE_CHECKS: ReadonlySet<Check> = new Set([
  "section_potential",
  "bond_resistance",
  "insulation_resistance",
  "electrode_resistance",
  "bare_metal_contact",
]);

/**
 * What can be planned on some days, from the queue, crews, promises and forecasts. Every rule that closes a site to a
 * crew at some hour is a list of spans on its visit, so that what comes out can be checked against it.
 * @throws RangeError when there are no days
 */
export function planInputs(request: PlanRequest): PlanInputs {
  if (!(request.days >= 1)) throw new RangeError(`planInputs requires one day or more, got ${request.days}`);
  const days = planDays(request.from, request.days);
  const { crewDays, notes } = crewDaysOf(request.crews, days, request.dispatch, request.params);
  const booked = new Map(request.booked.map((visit) => [visit.visitId, visit]));
  const visits: PlanVisit[] = [];
  const elsewhere: PlanInputs["elsewhere"] = [];
  let withoutForecast = 0;
  for (const queued of request.visits) {
    const site = request.sites.get(queued.siteId);
    const { visitId, siteId } = queued;
    if (!site) {
      elsewhere.push({ visitId, siteId, code: "no_site", why: "Its site is not recorded." });
      continue;
    }
    const promise = promiseOf(booked.get(visitId), site, days);
    if (promise === "later") {
      elsewhere.push({ visitId, siteId, code: "promised_later", why: "It has been promised for a later day." });
      continue;
    }
    if (!request.forecasts.has(siteId)) withoutForecast++;
    visits.push(visitOf(queued, site, promise, days, request));
    notes.push(...siteNotes(queued, site, promise));
  }
  if (withoutForecast > 0)
    notes.push(
      `No forecast is stored for ${withoutForecast} of ${visits.length} visits: their weather is not known; look before going out.`,
    );
  const places = [...visits.map((visit) => visit.place), ...crewDays.map((crew) => crew.base)];
  return { instance: { crewDays, visits, legs: legsByRoadFactor(places, request.dispatch) }, elsewhere, notes };
}

interface Booking {
  startWithin: Span | null;
  crewId: string | null;
  overdue: boolean;
}

/** The promise of a visit as these days see it; null: none, "later": beyond them. A missing end is that of its day. */
function promiseOf(visit: Visit | undefined, site: Site, days: readonly LocalDay[]): Booking | "later" | null {
  if (visit?.status !== "promised") return null;
  const midnight = (day: LocalDay, after = 0) => instantFromWall(Date.parse(day) + after, site.timeZone).at;
  const dayOf = (at: Instant) => days.find((day) => at < midnight(day, DAY_MS)) ?? (days.at(-1) as LocalDay);
  const { promisedFrom, promisedTo, crewId } = visit;
  if (promisedFrom === null && promisedTo === null) return { startWithin: null, crewId, overdue: false };
  const from = promisedFrom ?? midnight(dayOf(promisedTo as Instant));
  const to = Math.max(from, promisedTo ?? midnight(dayOf(from), DAY_MS));
  if (from >= midnight(days.at(-1) as LocalDay, DAY_MS)) return "later";
  if (to < midnight(days[0] as LocalDay)) return { startWithin: null, crewId, overdue: true };
  return { startWithin: { from, to }, crewId, overdue: false };
}

function visitOf(
  queued: VisitToPlan,
  site: Site,
  promise: Booking | null,
  days: readonly LocalDay[],
  request: PlanRequest,
): PlanVisit {
  const roof = queued.skills.includes("roof");
  const live = queued.checks.some((check) => LIVE_CHECKS.has(check));
  const value = Math.max(0, queued.expectedLossAvoided ?? 0);
  const tier: Tier = queued.urgency === "make_safe" ? "make_safe" : promise ? "promised" : "open";
  return {
    ...{ visitId: queued.visitId, siteId: queued.siteId, tier, value },
    place: { latitude: site.latitude, longitude: site.longitude },
    valueLostPerDay: value / (365 * request.dispatch.horizonYears),
    serviceMinutes: queued.hoursOnSite * 60,
    skills: queued.skills,
    needsPair: tier === "make_safe" || roof || live,
    pinned: promise !== null,
    crewId: promise?.crewId ?? null,
    startWithin: promise?.startWithin ?? null,
    open: openRules(site, roof, days, request),
  };
}

function openRules(site: Site, roof: boolean, days: readonly LocalDay[], request: PlanRequest): PlanVisit["open"] {
  const rules: { rule: "access" | "daylight" | "weather"; spans: Span[] }[] = [];
  const { accessFrom, accessTo, timeZone } = site;
  const at = (day: LocalDay, minutes: number) => instantFromWall(Date.parse(day) + minutes * 60_000, timeZone).at;
  // A crew's day may begin on the day before at the site, or end on the day after.
  const around = [shifted(days[0] as LocalDay, -1), ...days, shifted(days.at(-1) as LocalDay, 1)];
  if (accessFrom !== null || accessTo !== null) {
    const opens = accessFrom === null ? 0 : clockMinutes(accessFrom);
    const closes = accessTo === null ? 24 * 60 : clockMinutes(accessTo);
    const spans = around.map((day) => ({ from: at(day, opens), to: at(day, closes) }));
    rules.push({ rule: "access", spans: spans.filter((span) => span.to > span.from) });
  }
  rules.push({ rule: "daylight", spans: around.flatMap((day) => daylight(day, timeZone, site)) });
  const forecast = request.forecasts.get(site.siteId);
  if (forecast) {
    const whole = { from: at(around[0] as LocalDay, 0), to: at(around.at(-1) as LocalDay, 24 * 60) };
    const closed = forecastClosed(forecast, roof, request.params);
    rules.push({ rule: "weather", spans: intersectSpans([whole], withoutSpans(whole, closed)) });
  }
  return rules;
}

const shifted = (day: LocalDay, by: number): LocalDay =>
  new Date(Date.parse(day) + by * DAY_MS).toISOString().slice(0, 10);

function siteNotes(queued: VisitToPlan, site: Site, promise: Booking | null): string[] {
  const notes: string[] = [];
  if (promise?.overdue)
    notes.push(`The promised time of ${queued.visitId} has passed; it is planned for when it fits.`);
  const { accessFrom, accessTo } = site;
  if (accessFrom !== null && accessTo !== null && clockMinutes(accessTo) <= clockMinutes(accessFrom))
    notes.push(`Site ${site.siteId} has access hours that end (${accessTo}) before they start (${accessFrom}).`);
  return notes;
}
