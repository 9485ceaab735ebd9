import type { PlanInstance, PlannedRoute, PlannedStop } from "./plan-instance.ts";

/** A rule that a plan breaks. */
export interface PlanFault {
  rule:
    | "served_twice"
    | "no_such"
    | "shift"
    | "travel"
    | "service"
    | "skill"
    | "pair"
    | "crew"
    | "promise"
    | "access"
    | "daylight"
    | "weather"
    | "empty_route"
    | "two_routes";
  says: string;
}

/** Clock times are rounded to the second on their way out. */
const SLACK_MS = 1000;

/**
 * Check a plan against every rule of its instance, from the records alone: shares no code with what makes plans.
 * @returns the rules broken, none for a plan that may be driven
 */
export function checkPlan(instance: PlanInstance, routes: readonly PlannedRoute[]): PlanFault[] {
  const faults: PlanFault[] = [];
  const crewDays = new Set<number>();
  const served = new Set<number>();
  for (const route of routes) {
    if (crewDays.has(route.crewDay)) faults.push({ rule: "two_routes", says: `crew-day ${route.crewDay} twice` });
    crewDays.add(route.crewDay);
    for (const { visit } of route.stops) {
      if (served.has(visit)) faults.push({ rule: "served_twice", says: `visit ${visit} twice` });
      served.add(visit);
    }
    faults.push(...checkDrive(instance, route));
    for (const stop of route.stops) faults.push(...checkStop(instance, route, stop));
  }
  return faults;
}

function checkDrive(instance: PlanInstance, route: PlannedRoute): PlanFault[] {
  const crew = instance.crewDays[route.crewDay];
  if (!crew) return [{ rule: "no_such", says: `no crew-day ${route.crewDay}` }];
  if (route.stops.length === 0) return [{ rule: "empty_route", says: `${crew.crewId} drives nowhere` }];
  const faults: PlanFault[] = [];
  const who = `${crew.crewId} on ${crew.day}`;
  const late = (rule: PlanFault["rule"], has: boolean, says: string) => {
    if (has) faults.push({ rule, says: `${who}: ${says}` });
  };
  late("shift", !(route.leave >= crew.shift.from - SLACK_MS), "leaves before the shift");
  late("shift", !(route.return <= crew.shift.to + SLACK_MS), "is back after the shift");
  const base = instance.visits.length + route.crewDay;
  let node = base;
  let free = route.leave;
  for (const stop of route.stops) {
    const leg = node * instance.legs.nodes + stop.visit;
    late("travel", !(stop.arrive >= free + minutesMs(instance.legs.minutes[leg]) - SLACK_MS), "arrives too soon");
    late("travel", !(Math.abs(stop.driveKm - (instance.legs.km[leg] ?? 0)) < 0.01), "counts other kilometres");
    late("service", !(stop.start >= stop.arrive - SLACK_MS), "starts before it arrives");
    free = stop.depart;
    node = stop.visit;
  }
  const home = node * instance.legs.nodes + base;
  late("travel", !(route.return >= free + minutesMs(instance.legs.minutes[home]) - SLACK_MS), "is back too soon");
  late("travel", !(Math.abs(route.returnKm - (instance.legs.km[home] ?? 0)) < 0.01), "counts other kilometres");
  return faults;
}

function checkStop(instance: PlanInstance, route: PlannedRoute, stop: PlannedStop): PlanFault[] {
  const crew = instance.crewDays[route.crewDay];
  const visit = instance.visits[stop.visit];
  if (!crew || !visit) return [{ rule: "no_such", says: `no visit ${stop.visit}` }];
  const faults: PlanFault[] = [];
  const fault = (rule: PlanFault["rule"], says: string) => faults.push({ rule, says: `${visit.visitId}: ${says}` });
  if (!(stop.depart - stop.start >= minutesMs(visit.serviceMinutes) - SLACK_MS)) fault("service", "leaves unfinished");
  for (const skill of visit.skills) if (!crew.skills.includes(skill)) fault("skill", `lacks ${skill}`);
  if (visit.needsPair) {
    const alone = crew.people === null || crew.people < 2;
    const unqualified = crew.qualifiedPeople === null ? !crew.skills.includes("electrician") : crew.qualifiedPeople < 1;
    if (alone || unqualified) fault("pair", "needs two people, one of them qualified");
  }
  if (visit.crewId !== null && visit.crewId !== crew.crewId) fault("crew", `belongs to ${visit.crewId}`);
  const promise = visit.startWithin;
  if (promise && !(stop.start >= promise.from - SLACK_MS && stop.start <= promise.to + SLACK_MS))
    fault("promise", "starts outside the promised time");
  for (const { rule, spans } of visit.open) {
    if (!spans.some((span) => span.from - SLACK_MS <= stop.start && stop.depart <= span.to + SLACK_MS))
      fault(rule, "is worked on when that is not allowed");
  }
  return faults;
}

const minutesMs = (minutes: number | undefined) => (minutes ?? Number.POSITIVE_INFINITY) * 60_000;
