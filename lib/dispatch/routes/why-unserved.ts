import { mayGo, openSpans } from "./compile-instance.ts";
import { type CrewDay, isPair, type PlanInstance, type PlanVisit, type Span } from "./plan-instance.ts";
import { makeRoute } from "./route.ts";
import type { RouteProblem } from "./route-problem.ts";
import { intersectSpans } from "./spans.ts";
import type { UnservedCode } from "./unserved.ts";

interface Reason {
  code: UnservedCode;
  why: string;
}

/**
 * Why a visit has no place in a plan: the first of these that holds for every crew-day: not this crew, skills, people,
 * no road, too far, too long, closed hours; else that it costs more than it brings, or that the hours went elsewhere.
 */
export function whyUnserved(instance: PlanInstance, problem: RouteProblem, index: number): Reason {
  const visit = instance.visits[index] as PlanVisit;
  const cannot = whoCannot(instance, visit);
  if (cannot) return cannot;
  const days = instance.crewDays.flatMap((crew, d) => (mayGo(visit, crew) ? [{ crew, d }] : []));
  const alone = days.map(({ d }) => makeRoute(problem, d, [index])).filter((route) => route !== null);
  if (alone.length === 0) return whenCannot(instance, problem, index, days);
  if (visit.tier !== "open") {
    const first = visit.tier === "make_safe" ? "make-safe visits" : "make-safe and promised visits";
    return {
      code: "not_enough_hours",
      why: `The crews that can do it have no hours left beside other ${first}. Add a crew day.`,
    };
  }
  const best = Math.max(...alone.map((route) => route.gain));
  if (best <= 0) {
    const why = `A trip of its own would cost ${Math.ceil(-best)} more than the loss it is expected to avoid, and no route passes near enough. That is no clearance.`;
    return { code: "not_worth_the_trip", why };
  }
  return {
    code: "outranked",
    why: `The hours of the crews that can do it avoid more loss elsewhere; alone it would bring ${Math.round(best)}.`,
  };
}

function whoCannot(instance: PlanInstance, visit: PlanVisit): Reason | null {
  let crews: readonly CrewDay[] = instance.crewDays;
  if (visit.crewId !== null) {
    crews = crews.filter((crew) => crew.crewId === visit.crewId);
    if (crews.length === 0)
      return { code: "other_crew", why: `It belongs to crew ${visit.crewId}, who does not work on these days.` };
  }
  const skilled = crews.filter((crew) => visit.skills.every((skill) => crew.skills.includes(skill)));
  if (skilled.length === 0)
    return { code: "skills", why: `No crew on these days has all of: ${visit.skills.join(", ")}.` };
  if (!visit.needsPair || skilled.some(isPair)) return null;
  const unknown = [...new Set(skilled.filter((crew) => crew.people === null).map((crew) => crew.crewId))];
  const record =
    unknown.length > 0 ? ` How many people are in ${unknown.join(", ")} is not recorded, which counts as one.` : "";
  return {
    code: "crew_too_small",
    why: `It needs two people, one of them qualified; no crew with the skills has them.${record}`,
  };
}

function whenCannot(
  instance: PlanInstance,
  problem: RouteProblem,
  index: number,
  days: readonly { crew: CrewDay; d: number }[],
): Reason {
  const visit = instance.visits[index] as PlanVisit;
  const drive = Math.min(...days.map(({ d }) => thereAndBack(problem, d, index)));
  const longest = Math.max(...days.map(({ crew }) => (crew.shift.to - crew.shift.from) / 60_000));
  if (!Number.isFinite(drive)) return { code: "no_road", why: "No crew that can do it has a way there." };
  if (drive > longest)
    return {
      code: "too_far",
      why: `The drive there and back takes ${hours(drive)}, longer than the longest shift, ${hours(longest)}.`,
    };
  if (visit.serviceMinutes + drive > longest) {
    return {
      code: "too_long",
      why: `It takes ${hours(visit.serviceMinutes)} on site and ${hours(drive)} of driving; the longest shift is ${hours(longest)}. Split the work or lengthen a shift.`,
    };
  }
  return closedBy(
    visit,
    days.map(({ crew }) => crew.shift),
  );
}

function closedBy(visit: PlanVisit, shifts: readonly Span[]): Reason {
  const room = (spans: readonly Span[]) =>
    spans.some((span) => span.to - span.from >= visit.serviceMinutes * 60_000 - 1);
  const needs = `${hours(visit.serviceMinutes)} of work`;
  for (const { rule, spans } of visit.open) {
    if (shifts.some((shift) => room(intersectSpans([shift], spans)))) continue;
    return { code: rule, why: SAYS[rule](needs) };
  }
  if (visit.startWithin && shifts.some((shift) => room(openSpans({ ...visit, startWithin: null }, shift))))
    return {
      code: "promise",
      why: `The promised time leaves no crew enough of its shift for ${needs}. Promise another time.`,
    };
  return {
    code: "closed",
    why: `Shifts, drives and the hours in which the site can be worked on leave no ${needs} in one piece.`,
  };
}

const SAYS = {
  access: (needs: string) => `The site's access hours leave no crew ${needs} in one piece.`,
  daylight: (needs: string) => `Daylight leaves no crew ${needs} in one piece.`,
  weather: (needs: string) =>
    `The forecast leaves no crew ${needs} that is dry, calm and without thunder. Until then keep people off the metal.`,
};

function thereAndBack(problem: RouteProblem, day: number, stop: number): number {
  const there = problem.minutes[(problem.startNode[day] as number) * problem.nodes + stop] as number;
  return there + (problem.minutes[stop * problem.nodes + (problem.endNode[day] as number)] as number);
}

const hours = (minutes: number) => `${(minutes / 60).toFixed(1)} h`;
