import type { Crew, Instant, Visit } from "../../core/records.ts";
import { clockOn, type Shift, shiftsOf } from "./crew-days.ts";
import {
  bindingHold,
  type OutlookHour,
  type PlanInput,
  type Refusal,
  UNSERVED_CODES,
  type VisitToPlan,
} from "./plan-input.ts";
import { roadPlaces, roadTable } from "./road-table.ts";
import { type Offer, type RouteInstance, type RouteStop, routeCost, type Tier } from "./route-instance.ts";
import { accessSpan, fitSpans, groundRefusal, roofRefusal, type Span } from "./working-windows.ts";

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
  notes.push(...(input.remarks ?? []));
  const origin = Date.parse(`${input.from}T00:00:00Z`);
  const crews = [...new Map(shifts.map((shift) => [shift.crew.crewId, shift.crew])).values()];
  const roads = roadTable(roadPlaces({ visits: input.visits, crews }), input);
  const { km, minutes: travel } = roads;
  notes.push(...roads.notes);
  notes.push(...remoteBases(input, crews, shifts, km));
  const baseAt = new Map(crews.map((crew, index) => [crew.crewId, input.visits.length + index]));
  const baseOf = (shift: Shift) => baseAt.get(shift.crew.crewId) as number;
  const minute = (at: Instant) => (at - origin) / MINUTE_MS;
  const refused = new Map<string, Refusal>();
  const stops: RouteStop[] = [];
  input.visits.forEach((visit, index) => {
    const judged = shifts.map((shift, day) => {
      const base = baseOf(shift);
      const way = {
        out: (travel[base]?.[index] as number) * MINUTE_MS,
        back: (travel[index]?.[base] as number) * MINUTE_MS,
      };
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
    startPlace: baseOf(shift),
    endPlace: baseOf(shift),
    from: minute(shift.from),
    to: minute(shift.to),
    costPerMinute: (shift.crew.hourlyCost ?? input.costs?.perHour ?? 0) / 60,
    costPerKm: shift.crew.costPerKm ?? input.costs?.perKm ?? 0,
  }));
  const instance = { crewDays, stops: withUrgentWorth(input, planned, { crewDays, travel, km }), travel, km };
  return {
    instance: roads.metric ? { ...instance, metric: true } : instance,
    ...{ shifts, origin, refused, notes, km },
  };
}

/**
 * The promise that binds a visit in a plan that begins on a day; null when there is none. One whose time has passed
 * binds nobody: it would keep a visit from ever being made.
 */
export function promiseOf({ booked, site }: VisitToPlan, from: string): Visit | null {
  if (booked?.status !== "promised") return null;
  return booked.promisedTo !== null && booked.promisedTo < clockOn(from, "00:00", site.timeZone) ? null : booked;
}

/** Crews that no shift takes to any visit and back: their base may be in the wrong place, or in the sea. */
function remoteBases(input: PlanInput, crews: readonly Crew[], shifts: readonly Shift[], km: number[][]): string[] {
  if (input.visits.length === 0) return [];
  return crews.flatMap((crew, at) => {
    const nearest = Math.min(...(km[input.visits.length + at] as number[]).slice(0, input.visits.length));
    const longest = Math.max(...shifts.filter((shift) => shift.crew === crew).map((shift) => shift.to - shift.from));
    if ((2 * nearest) / input.speedKmh <= longest / 3_600_000) return [];
    return [
      `Crew ${crew.crewId}: its base lies ${Math.round(nearest)} km from the nearest visit, too far for its shift; check the base's coordinates.`,
    ];
  });
}

/**
 * An urgent visit is never left out because its trip is dear: it counts for a little more than its dearest trip of its
 * own, if it does not anyway. Below make-safe this is the one place where people come before the sum of money.
 */
function withUrgentWorth(
  input: PlanInput,
  stops: readonly RouteStop[],
  roads: Pick<RouteInstance, "crewDays" | "travel" | "km">,
): RouteStop[] {
  const instance = { ...roads, stops };
  return stops.map((stop, index) => {
    if (input.visits[index]?.urgency !== "urgent") return stop;
    const least = (day: number) => 1.01 * routeCost(instance, day, [index]);
    const offers = stop.offers.map((offer, day) => offer && { ...offer, value: Math.max(offer.value, least(day)) });
    return { ...stop, offers };
  });
}

/** What has been promised comes before the rest, also once its time has passed. */
const tierOf = ({ urgency, booked }: VisitToPlan): Tier =>
  urgency === "make_safe" ? 2 : booked?.status === "promised" ? 1 : 0;

/** The refusal that came nearest to an offer: the last of the rules in the order they are asked. */
function closest(refusals: readonly Refusal[]): Refusal {
  const order = (refusal: Refusal) => UNSERVED_CODES.indexOf(refusal.code);
  return refusals.reduce((best, each) => (order(each) > order(best) ? each : best), {
    code: "no_crew_day",
    why: "No crew works on these days.",
  });
}

/** Driving from the base and back, ms. */
interface Way {
  out: number;
  back: number;
}

function offerOf(
  visit: VisitToPlan,
  shift: Shift,
  way: Way,
  input: PlanInput,
  minute: (at: Instant) => number,
  dayNumber: number,
): Offer | Refusal {
  const serviceMs = visit.hoursOnSite * 60 * MINUTE_MS;
  const hold = bindingHold(visit);
  if (hold && shift.day <= hold.until) return { code: "held", why: hold.says };
  const promise = promiseOf(visit, input.from);
  const barred = (promise && promisedElsewhere(promise, shift)) ?? crewRefusal(visit, shift, serviceMs, way);
  if (barred) return barred;
  const span = accessSpan(visit.site, shift);
  if (!span || span.to - span.from < serviceMs) {
    return {
      code: "access_or_daylight",
      why: `${visit.hoursOnSite} h of work do not fit into daylight and the hours of access.`,
    };
  }
  const promised = promise ? promisedSpan(promise, span, serviceMs) : span;
  if (!promised)
    return {
      code: "promise_not_possible",
      why: "The hours promised lie outside the days, the shifts or the hours of access.",
    };
  const weather = fitWeather(visit, shift.crew, promised, input);
  const open = weather.spans.filter((each) => each.to - each.from >= serviceMs);
  const latest = shift.to - way.back - serviceMs;
  const windows = open
    .map((each) => ({ from: Math.max(each.from, shift.from + way.out), to: Math.min(each.to - serviceMs, latest) }))
    .filter((each) => each.to >= each.from)
    .map((each) => ({ from: minute(each.from), to: minute(each.to) }));
  if (windows.length === 0) {
    const because = weather.because.join(", ");
    const roof = visit.skills.includes("roof");
    if (because !== "" && roof)
      return { code: "roof_weather", why: `No dry, calm stretch of ${visit.hoursOnSite} h on the roof: ${because}.` };
    return because !== ""
      ? { code: "wet_surface", why: `No dry stretch of ${visit.hoursOnSite} h at the array: ${because}.` }
      : { code: "access_or_daylight", why: "The drive there and back leaves no time within the hours of access." };
  }
  const share = visit.urgency === "make_safe" ? MAKE_SAFE_DAY_SHARE : DAY_SHARE;
  return { value: Math.max(0, visit.avoided ?? 0) * Math.max(0, 1 - share * dayNumber), windows };
}

/**
 * Hours of a span in which a visit can be worked on. Work on a roof waits for a dry, calm one whatever anybody allowed; work
 * on the ground waits for a dry one, unless it is a look at ground level that a named person allowed in the wet. Lightning
 * keeps everybody away. An emergency waits for nothing but what keeps people off a roof.
 */
function fitWeather(
  visit: VisitToPlan,
  crew: Crew,
  span: Span,
  input: PlanInput,
): { spans: Span[]; because: string[] } {
  if (visit.skills.includes("roof")) return fitSpans(span, roofOutlook(visit, input), roofRefusal);
  if (visit.urgency === "make_safe") return { spans: [span], because: [] };
  const mayBeWet = visit.inTheWet === "allowed" && isWetLook(visit) && isQualifiedPair(crew);
  return fitSpans(span, input.outlook.get(visit.site.siteId) ?? [], (hour) => groundRefusal(hour, mayBeWet));
}

/** What may be made in the wet at all: at ground level, nothing measured, and nothing that waits to be made safe. */
const isWetLook = ({ skills, liveMeasurement, urgency }: VisitToPlan) =>
  !skills.includes("roof") && !liveMeasurement && urgency !== "make_safe";

const isQualifiedPair = ({ people, qualifiedPeople }: Crew) => (people ?? 0) >= 2 && (qualifiedPeople ?? 0) >= 2;

/**
 * The hours that can keep a visit off the roof. An emergency does not wait for what past years were like: its first work,
 * keeping people off and isolating, is done from the ground, and on the day the crew decides whether anybody goes up.
 */
function roofOutlook({ urgency, site }: VisitToPlan, { outlook }: PlanInput): readonly OutlookHour[] {
  const hours = outlook.get(site.siteId) ?? [];
  return urgency === "make_safe" ? hours.filter(({ basis }) => basis !== "past_years") : hours;
}

function promisedElsewhere(promise: Visit, { crew }: Shift): Refusal | null {
  if (!promise.crewId || promise.crewId === crew.crewId) return null;
  return {
    code: "other_crew_promised",
    why: `Crew ${promise.crewId} was promised and does not work on these days.`,
  };
}

function crewRefusal(visit: VisitToPlan, shift: Shift, serviceMs: number, way: Way): Refusal | null {
  const { crew } = shift;
  const length = shift.to - shift.from;
  if (serviceMs > length)
    return { code: "longer_than_shift", why: `${visit.hoursOnSite} h of work are longer than any shift.` };
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
  // An emergency is none: it is planned as if nobody had allowed anything.
  const wet = visit.urgency === "make_safe" ? undefined : visit.inTheWet;
  if (wet === "taken_back")
    return { code: "people_missing", why: "Nobody allows this visit in the wet any more: plan anew." };
  if (wet === "allowed" && !(isWetLook(visit) && isQualifiedPair(crew)))
    return {
      code: "people_missing",
      why: "A look in the wet needs two qualified people on the ground, no roof, no measurement, and no make-safe.",
    };
  if (way.out + way.back + serviceMs > length)
    return { code: "too_far", why: "The drive there and back and the work are longer than the shift." };
  return null;
}

/** The part of a span in which a visit can be worked on and starts as promised. */
function promisedSpan({ promisedFrom, promisedTo }: Visit, span: Span, serviceMs: number): Span | null {
  const from = Math.max(span.from, promisedFrom ?? span.from);
  const startBy = promisedTo ?? span.to - serviceMs;
  const to = Math.min(span.to, startBy + serviceMs);
  return to - from >= serviceMs ? { from, to } : null;
}
