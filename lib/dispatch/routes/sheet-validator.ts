import { distanceKm } from "../../core/earth.ts";
import { type Crew, type Instant, WEEKDAYS } from "../../core/records.ts";
import { wallMs } from "../../core/zoned-time.ts";
import { sunElevationDeg } from "../../weather/sun-position.ts";
import type { OutlookHour, PlanInput, VisitToPlan } from "./plan-input.ts";
import type { PlanSheet } from "./plan-sheet.ts";
import type { PlannedDay, PlannedStop } from "./walk-route.ts";

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;
const DAY_MS = 86_400_000;
/** Times are given to the second. */
const SLACK_MS = 2000;

/**
 * Every rule that a sheet breaks, in words; empty when it keeps them all. It goes by the records alone: crews, sites,
 * promises and outlook as they came in, clocks and roads reckoned anew, nothing from the instance that was planned on.
 */
export function brokenSheetRules(input: PlanInput, sheet: PlanSheet): string[] {
  const broken: string[] = [];
  const visits = new Map(input.visits.map((visit) => [visit.visitId, visit]));
  const told = [...sheet.days.flatMap((day) => day.stops), ...sheet.unserved].map((each) => each.visitId);
  for (const id of visits.keys()) {
    const times = told.filter((each) => each === id).length;
    if (times !== 1) broken.push(`${id} is told of ${times} times`);
  }
  if (told.length !== visits.size) broken.push("not as many visits as were given");
  for (const { visitId, why } of sheet.unserved)
    if (why.trim() === "") broken.push(`${visitId} is left out without a reason`);
  for (const left of sheet.unserved) broken.push(...worthRules(input, visits.get(left.visitId), left));
  const driven = new Set<string>();
  for (const day of sheet.days) {
    const key = `${day.shift.crew.crewId} on ${day.shift.day}`;
    if (driven.has(key)) broken.push(`${key} has two routes`);
    driven.add(key);
    broken.push(...shiftRules(input, day), ...roadRules(input, day, visits));
    for (const stop of day.stops) {
      const visit = visits.get(stop.visitId);
      if (!visit) broken.push(`${key} goes to ${stop.visitId}, which nobody asked for`);
      else
        broken.push(
          ...[...crewRules(visit, day, input), ...hourRules(visit, stop, day.shift.crew, input)].map(
            (says) => `${stop.visitId}: ${says}`,
          ),
        );
    }
  }
  return broken;
}

/** The shift by the crew's own wall clock, on one of its days. */
function shiftRules(input: PlanInput, { shift, leave, ...day }: PlannedDay): string[] {
  const broken: string[] = [];
  const { crew } = shift;
  const midnight = Date.parse(`${shift.day}T00:00:00Z`);
  const first = Date.parse(`${input.from}T00:00:00Z`);
  const who = `${crew.crewId} on ${shift.day}`;
  if (midnight < first || midnight >= first + input.days * DAY_MS) broken.push(`${who} is not one of the days`);
  const weekday = WEEKDAYS[(new Date(midnight).getUTCDay() + 6) % 7];
  const workDays = crew.workDays.length > 0 ? crew.workDays : WEEKDAYS.slice(0, 5);
  if (!workDays.some((each) => each === weekday)) broken.push(`${who} does not work`);
  const clock = (at: Instant) => wallMs(at, crew.timeZone) - midnight;
  if (clock(leave) < minutesOf(crew.shiftStart) * MINUTE_MS - SLACK_MS) broken.push(`${who} leaves before the shift`);
  if (clock(day.return) > minutesOf(crew.shiftEnd) * MINUTE_MS + SLACK_MS)
    broken.push(`${who} is back after the shift`);
  if (day.stops.length === 0) broken.push(`${who} goes nowhere`);
  return broken;
}

function roadRules(input: PlanInput, day: PlannedDay, visits: ReadonlyMap<string, VisitToPlan>): string[] {
  const broken: string[] = [];
  const { crew } = day.shift;
  const base = { latitude: crew.baseLatitude, longitude: crew.baseLongitude, key: `crew ${crew.crewId}` };
  let here = base;
  let free = day.leave;
  const drive = (to: typeof base, km: number, arrive: Instant, what: string) => {
    const straight = distanceKm(here, to) * input.roadFactor;
    const given = here.key === to.key ? { minutes: 0, km: 0 } : (input.roads?.leg(here.key, to.key) ?? null);
    const usable = given !== null && given.minutes >= 0 && given.minutes < Number.POSITIVE_INFINITY;
    const road = (usable ? given.km : null) ?? straight;
    const minutes = usable ? given.minutes : (straight / input.speedKmh) * 60;
    if (Math.abs(road - km) > 1e-6 * (1 + road)) broken.push(`${what}: ${km} km told, ${road} driven`);
    if (arrive < free + minutes * MINUTE_MS - SLACK_MS) broken.push(`${what} is reached too soon`);
    here = to;
  };
  for (const stop of day.stops) {
    const visit = visits.get(stop.visitId);
    if (!visit) continue;
    drive({ ...visit.site, key: `site ${visit.site.siteId}` }, stop.driveKm, stop.arrive, stop.visitId);
    if (stop.start < stop.arrive - SLACK_MS) broken.push(`${stop.visitId} begins before anyone is there`);
    if (stop.depart - stop.start < visit.hoursOnSite * HOUR_MS - SLACK_MS)
      broken.push(`${stop.visitId} is left unfinished`);
    free = stop.depart;
  }
  drive(base, day.returnKm, day.return, `${crew.crewId}'s base`);
  return broken;
}

/** A visit is left out for its trip only where people do not come first, and where some crew's trip costs more than it avoids. */
function worthRules(
  input: PlanInput,
  visit: VisitToPlan | undefined,
  { visitId, code }: PlanSheet["unserved"][number],
): string[] {
  if (!visit || code !== "not_worth_trip") return [];
  if (visit.urgency !== "planned" || visit.booked?.status === "promised")
    return [`${visitId} is left out for money, and people or a promise come first`];
  const pays = input.crews.every((crew) => {
    const key = `crew ${crew.crewId}`;
    const site = `site ${visit.site.siteId}`;
    const base = { latitude: crew.baseLatitude, longitude: crew.baseLongitude };
    const straight = distanceKm(base, visit.site) * input.roadFactor;
    const ways = [input.roads?.leg(key, site), input.roads?.leg(site, key)];
    const km = ways.reduce((sum, way) => sum + (way?.km ?? straight), 0);
    const hours = ways.reduce((sum, way) => sum + (way ? way.minutes / 60 : straight / input.speedKmh), 0);
    const perHour = crew.hourlyCost ?? input.costs?.perHour ?? 0;
    const cost = km * (crew.costPerKm ?? input.costs?.perKm ?? 0) + (hours + visit.hoursOnSite) * perHour;
    return cost < (visit.avoided ?? 0) * (1 - input.days / 365);
  });
  return pays && input.crews.length > 0 ? [`${visitId} would pay its trip whoever goes`] : [];
}

/** A promise whose last hour lies before the first day, on the site's clock, binds nobody. */
function binding({ booked, site }: VisitToPlan, input: PlanInput): VisitToPlan["booked"] {
  if (booked?.status !== "promised") return null;
  const passed =
    booked.promisedTo !== null && wallMs(booked.promisedTo, site.timeZone) < Date.parse(`${input.from}T00:00:00Z`);
  return passed ? null : booked;
}

function crewRules(visit: VisitToPlan, { shift: { crew, day } }: PlannedDay, input: PlanInput): string[] {
  const broken: string[] = [];
  const mayWait = visit.urgency !== "make_safe" && visit.booked?.status !== "promised";
  if (mayWait && visit.held && day <= visit.held.until) broken.push(`held until ${visit.held.until}`);
  for (const skill of visit.skills) if (!crew.skills.includes(skill)) broken.push(`${crew.crewId} lacks ${skill}`);
  const pair = crew.people !== null && crew.people >= 2 && crew.qualifiedPeople !== null && crew.qualifiedPeople >= 1;
  if (!pair && visit.urgency === "make_safe") broken.push("make-safe work without two people, one qualified");
  if (!pair && visit.skills.includes("roof")) broken.push("roof work without two people, one qualified");
  if (!pair && visit.liveMeasurement) broken.push("live measurement without two people, one qualified");
  const booked = binding(visit, input);
  if (booked?.crewId && booked.crewId !== crew.crewId) broken.push(`promised to crew ${booked.crewId}`);
  return broken;
}

function hourRules(visit: VisitToPlan, stop: PlannedStop, crew: Crew, input: PlanInput): string[] {
  const broken: string[] = [];
  const { site } = visit;
  const booked = binding(visit, input);
  if (booked) {
    if (booked.promisedFrom !== null && stop.start < booked.promisedFrom - SLACK_MS)
      broken.push("begins before the promise");
    if (booked.promisedTo !== null && stop.start > booked.promisedTo + SLACK_MS)
      broken.push("begins after the promise");
  }
  const clock = (at: Instant) => ((wallMs(at, site.timeZone) % DAY_MS) + DAY_MS) % DAY_MS;
  if (site.accessFrom !== null && clock(stop.start) < minutesOf(site.accessFrom) * MINUTE_MS - SLACK_MS)
    broken.push("begins before the site opens");
  if (site.accessTo !== null && clock(stop.depart) > minutesOf(site.accessTo) * MINUTE_MS + SLACK_MS)
    broken.push("ends after the site closes");
  // Sunrise is taken to 10 minutes by the planner and checked here with half a degree to spare.
  for (let at = stop.start; at <= stop.depart; at += 10 * MINUTE_MS)
    if (sunElevationDeg(at, site) < -1.4) broken.push("is worked on in the dark");
  if (visit.skills.includes("roof") && visit.inTheWet && visit.urgency !== "make_safe")
    broken.push("roof work planned for the wet");
  if (!visit.skills.includes("roof")) return [...broken, ...wetRules(visit, stop, crew, input)];
  for (const hour of input.outlook.get(site.siteId) ?? []) {
    const during = hour.at - HOUR_MS < stop.depart - SLACK_MS && hour.at > stop.start + SLACK_MS;
    // Past years say nothing of the day itself, and an emergency begins on the ground.
    const binds = visit.urgency !== "make_safe" || hour.basis !== "past_years";
    if (during && binds && keepsOff(hour)) broken.push("is on the roof in weather that keeps people off");
  }
  return broken;
}

/**
 * On the ground: nobody at an array in lightning; nobody at a wet one, unless somebody allowed this very visit, nothing is
 * measured at it and two qualified people go.
 */
function wetRules(visit: VisitToPlan, stop: PlannedStop, crew: Crew, input: PlanInput): string[] {
  if (visit.urgency === "make_safe") return [];
  const broken: string[] = [];
  const fit = !visit.liveMeasurement && crew.people !== null && crew.people >= 2 && (crew.qualifiedPeople ?? 0) >= 2;
  if (visit.inTheWet !== undefined && (visit.inTheWet !== "allowed" || !fit))
    broken.push("planned for the wet without leave, with a measurement, or without two qualified people");
  for (const hour of input.outlook.get(visit.site.siteId) ?? []) {
    if (hour.basis === "past_years") continue;
    if (hour.at - HOUR_MS >= stop.depart - SLACK_MS || hour.at <= stop.start + SLACK_MS) continue;
    if (hour.thunderProbability !== null && hour.thunderProbability > 0.3) broken.push("is at the array in lightning");
    const wet =
      (hour.rainProbability !== null && hour.rainProbability > 0.3) || (hour.filmMm !== null && hour.filmMm >= 0.05);
    if (wet && visit.inTheWet === undefined) broken.push("is at wet metal without anybody's leave");
  }
  return broken;
}

/** Rain, gust or lightning more likely than 0.3, 0.05 mm of water on the surface, or frost. */
function keepsOff(hour: OutlookHour): boolean {
  const likely = [hour.rainProbability, hour.gustProbability, hour.thunderProbability].some(
    (p) => p !== null && p > 0.3,
  );
  return (
    likely || (hour.filmMm !== null && hour.filmMm >= 0.05) || (hour.temperatureC !== null && hour.temperatureC <= 0)
  );
}

function minutesOf(clock: string): number {
  const [hours = 0, minutes = 0] = clock.split(":").map(Number);
  return hours * 60 + minutes;
}
