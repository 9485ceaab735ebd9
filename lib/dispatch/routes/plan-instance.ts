import { distanceKm } from "../../core/earth.ts";
import type { Instant } from "../../core/records.ts";
import { type Shift, shiftsOf } from "./crew-days.ts";
import { type PlanInput, type Refusal, UNSERVED_CODES, type VisitToPlan } from "./plan-input.ts";
import type { Offer, RouteInstance, RouteStop, Tier } from "./route-instance.ts";
import { accessSpan, roofSpans, type Span } from "./working-windows.ts";

const MINUTE_MS = 60_000;
/** Share of a visit's value that a day of waiting costs; a make-safe hazard waits worse. Engineering judgement. */
const DAY_SHARE = 1 / 365;
const MAKE_SAFE_DAY_SHARE = 0.1;

export interface PlanInstance {
  instance: RouteInstance;
  shifts: Shift[];
  /** Minute 0 of the instance. */
  origin: Instant;
  /** Why nobody can make a visit, by visit id; visits that somebody could make are not in it. */
  refused: Map<string, Refusal>;
  notes: string[];
  /** Road km between places. */
  km: number[][];
}

/**
 * Visits, crews and days as an instance for the planner: who may go where and when, and why nobody may.
 *
 * make_safe outranks what has been promised, and that the rest. make_safe, roof and live work needs two people, one of
 * them qualified; a number that is not recorded does not show that. A promise binds its hours and its crew. Work stays
 * in daylight and in the customer's hours; roof work out of rain, gusts, lightning, wet and frost.
 *
 * @throws RangeError for a date or a number of days that is none
 */
export function planInstance(input: PlanInput): PlanInstance {
  const { shifts, notes } = shiftsOf(input.crews, input.from, input.days);
  if (input.crews.length === 0) notes.push("No crew is recorded.");
  const origin = Date.parse(`${input.from}T00:00:00Z`);
  const { places, km } = roadTable(input, shifts);
  const travel = km.map((row) => row.map((each) => (each / input.speedKmh) * 60));
  const minute = (at: Instant) => (at - origin) / MINUTE_MS;
  const refused = new Map<string, Refusal>();
  const stops: RouteStop[] = [];
  input.visits.forEach((visit, index) => {
    const judged = shifts.map((shift, day) => {
      const way = (travel[places.base(shift)]?.[index] as number) * MINUTE_MS;
      const dayNumber = Math.round((Date.parse(`${shift.day}T00:00:00Z`) - origin) / 86_400_000);
      return { day, found: offerOf(visit, shift, way, input, minute, dayNumber) };
    });
    const offers = judged.map(({ found }) => ("value" in found ? found : null));
    if (offers.every((offer) => offer === null))
      refused.set(visit.visitId, closest(judged.map(({ found }) => found as Refusal)));
    stops.push({
      key: visit.visitId,
      place: index,
      serviceMinutes: visit.hoursOnSite * 60,
      tier: tierOf(visit),
      offers,
    });
  });
  // A stop that nobody can make is left out of the tiers: it is said, and the rest is planned and bounded without it.
  const planned = stops.map((stop): RouteStop => (refused.has(stop.key) ? { ...stop, tier: 0 } : stop));
  const crewDays = shifts.map((shift) => ({
    key: `${shift.crew.crewId} ${shift.day}`,
    startPlace: places.base(shift),
    endPlace: places.base(shift),
    from: minute(shift.from),
    to: minute(shift.to),
  }));
  return { instance: { crewDays, stops: planned, travel }, shifts, origin, refused, notes, km };
}

export const isPromised = (visit: VisitToPlan) => visit.booked?.status === "promised";

const tierOf = (visit: VisitToPlan): Tier => (visit.urgency === "make_safe" ? 2 : isPromised(visit) ? 1 : 0);

function roadTable(input: PlanInput, shifts: readonly Shift[]) {
  const crews = [...new Map(shifts.map((shift) => [shift.crew.crewId, shift.crew])).values()];
  const points = [
    ...input.visits.map((visit) => ({ latitude: visit.site.latitude, longitude: visit.site.longitude })),
    ...crews.map((crew) => ({ latitude: crew.baseLatitude, longitude: crew.baseLongitude })),
  ];
  const km = points.map((from) => points.map((to) => distanceKm(from, to) * input.roadFactor));
  const at = new Map(crews.map((crew, index) => [crew.crewId, input.visits.length + index]));
  return { km, places: { base: (shift: Shift) => at.get(shift.crew.crewId) as number } };
}

/** The refusal that came nearest to an offer: the last of the rules in the order they are asked. */
function closest(refusals: readonly Refusal[]): Refusal {
  const order = (refusal: Refusal) => UNSERVED_CODES.indexOf(refusal.code);
  return refusals.reduce((best, each) => (order(each) > order(best) ? each : best), {
    code: "no_crew_day",
    why: "No crew works on these days.",
  });
}

function offerOf(
  visit: VisitToPlan,
  shift: Shift,
  wayMs: number,
  input: PlanInput,
  minute: (at: Instant) => number,
  dayNumber: number,
): Offer | Refusal {
  const serviceMs = visit.hoursOnSite * 60 * MINUTE_MS;
  const barred = crewRefusal(visit, shift, serviceMs, wayMs);
  if (barred) return barred;
  const span = accessSpan(visit.site, shift);
  if (!span || span.to - span.from < serviceMs) {
    return {
      code: "access_or_daylight",
      why: `${visit.hoursOnSite} h of work do not fit into daylight and the hours of access.`,
    };
  }
  const promised = isPromised(visit) ? promisedSpan(visit, span, serviceMs) : span;
  if (!promised)
    return {
      code: "promise_not_possible",
      why: "The hours promised lie outside the days, the shifts or the hours of access.",
    };
  const roof = visit.skills.includes("roof") ? roofSpans(promised, input.outlook.get(visit.site.siteId) ?? []) : null;
  const open = (roof?.spans ?? [promised]).filter((each) => each.to - each.from >= serviceMs);
  const latest = shift.to - wayMs - serviceMs;
  const windows = open
    .map((each) => ({ from: Math.max(each.from, shift.from + wayMs), to: Math.min(each.to - serviceMs, latest) }))
    .filter((each) => each.to >= each.from)
    .map((each) => ({ from: minute(each.from), to: minute(each.to) }));
  if (windows.length === 0) {
    return roof && roof.because.length > 0
      ? {
          code: "roof_weather",
          why: `No dry, calm stretch of ${visit.hoursOnSite} h on the roof: ${roof.because.join(", ")}.`,
        }
      : { code: "access_or_daylight", why: "The drive there and back leaves no time within the hours of access." };
  }
  const share = visit.urgency === "make_safe" ? MAKE_SAFE_DAY_SHARE : DAY_SHARE;
  return { value: Math.max(0, visit.avoided ?? 0) * Math.max(0, 1 - share * dayNumber), windows };
}

function crewRefusal(visit: VisitToPlan, shift: Shift, serviceMs: number, wayMs: number): Refusal | null {
  const { crew } = shift;
  const length = shift.to - shift.from;
  if (serviceMs > length)
    return { code: "longer_than_shift", why: `${visit.hoursOnSite} h of work are longer than any shift.` };
  if (isPromised(visit) && visit.booked?.crewId && visit.booked.crewId !== crew.crewId) {
    return {
      code: "other_crew_promised",
      why: `Crew ${visit.booked.crewId} was promised and does not work on these days.`,
    };
  }
  const lacking = visit.skills.filter((skill) => !crew.skills.includes(skill));
  if (lacking.length > 0)
    return { code: "skill_missing", why: `No crew that works has every skill; lacking: ${lacking.join(", ")}.` };
  const needsTwo = visit.urgency === "make_safe" || visit.skills.includes("roof") || visit.liveMeasurement;
  if (needsTwo && !((crew.people ?? 0) >= 2 && (crew.qualifiedPeople ?? 0) >= 1)) {
    return {
      code: "people_missing",
      why: "Make-safe, roof and live work needs two people, one of them qualified; no crew that works is recorded so.",
    };
  }
  if (2 * wayMs + serviceMs > length)
    return { code: "too_far", why: "The drive there and back and the work are longer than the shift." };
  return null;
}

/** The part of a span in which a promised visit starts as promised. */
function promisedSpan(visit: VisitToPlan, span: Span, serviceMs: number): Span | null {
  const from = Math.max(span.from, visit.booked?.promisedFrom ?? span.from);
  const startBy = visit.booked?.promisedTo ?? span.to - serviceMs;
  const to = Math.min(span.to, startBy + serviceMs);
  return to - from >= serviceMs ? { from, to } : null;
}
