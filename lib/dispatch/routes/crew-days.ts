import type { Crew, LocalDay } from "../../core/records.ts";
import { WEEKDAYS } from "../../core/records.ts";
import { instantFromWall } from "../../core/zoned-time.ts";
import type { DispatchParameters } from "../dispatch-parameters.ts";
import type { CrewDay } from "./plan-instance.ts";
import type { PlanParameters } from "./plan-parameters.ts";

const DAY_MS = 86_400_000;
const MINUTE_MS = 60_000;

/** The days of a plan, from `from` on. */
export function planDays(from: LocalDay, days: number): LocalDay[] {
  return Array.from({ length: days }, (_, i) => new Date(Date.parse(from) + i * DAY_MS).toISOString().slice(0, 10));
}

/** Minutes after midnight of HH:MM. */
export function clockMinutes(clock: string): number {
  const [hours = 0, minutes = 0] = clock.split(":").map(Number);
  return hours * 60 + minutes;
}

/**
 * Each crew on each of its work days, by day and then crew, and sentences on what could not be used as recorded.
 * A day belongs to the crew's own zone.
 */
export function crewDaysOf(
  crews: readonly Crew[],
  days: readonly LocalDay[],
  dispatch: DispatchParameters,
  params: PlanParameters,
): { crewDays: CrewDay[]; notes: string[] } {
  const notes: string[] = [];
  const usable = [...crews]
    .sort((a, b) => (a.crewId < b.crewId ? -1 : 1))
    .filter((crew) => {
      if (clockMinutes(crew.shiftEnd) > clockMinutes(crew.shiftStart)) return true;
      notes.push(
        `Crew ${crew.crewId} is left out: its shift ends (${crew.shiftEnd}) before it starts (${crew.shiftStart}).`,
      );
      return false;
    });
  for (const crew of usable) {
    if (crew.people === null)
      notes.push(`How many people are in crew ${crew.crewId} is not recorded: it is planned as one person alone.`);
    if (crew.workDays.length === 0)
      notes.push(
        `The work days of crew ${crew.crewId} are not recorded: ${params.defaultWorkDays.join(", ")} assumed.`,
      );
  }
  if (crews.length === 0) notes.push("No crew is recorded: nothing can be planned.");
  const crewDays = days.flatMap((day) =>
    usable.filter((crew) => works(crew, day, params)).map((crew) => crewDay(crew, day, dispatch)),
  );
  if (usable.length > 0 && crewDays.length === 0) notes.push("No crew works on any of these days.");
  return { crewDays, notes };
}

function works(crew: Crew, day: LocalDay, params: PlanParameters): boolean {
  const weekday = WEEKDAYS[(new Date(Date.parse(day)).getUTCDay() + 6) % 7] as string;
  return (crew.workDays.length > 0 ? (crew.workDays as readonly string[]) : params.defaultWorkDays).includes(weekday);
}

function crewDay(crew: Crew, day: LocalDay, dispatch: DispatchParameters): CrewDay {
  const at = (clock: string) => instantFromWall(Date.parse(day) + clockMinutes(clock) * MINUTE_MS, crew.timeZone).at;
  return {
    ...{ crewId: crew.crewId, day, timeZone: crew.timeZone },
    base: { latitude: crew.baseLatitude, longitude: crew.baseLongitude },
    shift: { from: at(crew.shiftStart), to: at(crew.shiftEnd) },
    ...{ skills: crew.skills, people: crew.people, qualifiedPeople: crew.qualifiedPeople },
    hourlyCost: crew.hourlyCost ?? dispatch.defaultHourlyCost,
    costPerKm: crew.costPerKm ?? dispatch.defaultCostPerKm,
  };
}
