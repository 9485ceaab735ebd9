import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { WEEKDAYS } from "../../lib/core/records.ts";
import { planInstance } from "../../lib/dispatch/routes/plan-instance.ts";
import { planRoutes } from "../../lib/dispatch/routes/plan-routes.ts";
import { type PlannedStop, type PlanSheet, planSheet } from "../../lib/dispatch/routes/plan-sheet.ts";
import { brokenSheetRules } from "../../lib/dispatch/routes/sheet-validator.ts";
import { randomPlanInput } from "../support/random-plan-input.ts";

const QUIET = { solver: null, pricingRounds: 0, pricingNodes: 0, choiceNodes: 0 };

async function planned(seed: string) {
  const input = randomPlanInput(seededRng(seed));
  const built = planInstance(input);
  const { routes } = await planRoutes(built.instance, { rng: seededRng("plan"), effort: 15, ...QUIET });
  return { input, sheet: planSheet(input, built, routes) };
}

describe("brokenSheetRules", () => {
  test("finds nothing in the plans of 1,000 random weeks, and those are no empty weeks", async () => {
    let stops = 0;
    let pinned = 0;
    const codes = new Set<string>();
    for (let n = 0; n < 1000; n++) {
      const { input, sheet } = await planned(`week-${n}`);
      expect(brokenSheetRules(input, sheet), `week-${n}`).toEqual([]);
      const made = sheet.days.flatMap((day) => day.stops);
      stops += made.length;
      pinned += made.filter((stop) => stop.pinned).length;
      for (const { code } of sheet.unserved) codes.add(code);
    }
    expect(stops).toBeGreaterThan(1000);
    expect(pinned).toBeGreaterThan(30);
    expect(codes.size).toBeGreaterThanOrEqual(9);
  });

  test("finds each rule that is broken in a plan that kept them", async () => {
    const { input, sheet } = await firstWith((plan) => plan.days.some((day) => day.stops.length >= 2));
    const day = sheet.days.findIndex((each) => each.stops.length >= 2);
    const edited = (edit: (stop: PlannedStop) => Partial<PlannedStop>): PlanSheet => ({
      ...sheet,
      days: sheet.days.map((each, d) =>
        d === day
          ? { ...each, stops: each.stops.map((stop, i) => (i === 1 ? { ...stop, ...edit(stop) } : stop)) }
          : each,
      ),
    });
    const says = (bad: PlanSheet) => brokenSheetRules(input, bad).join("; ");
    expect(says(edited((stop) => ({ arrive: stop.arrive - 600_000 })))).toMatch(/reached too soon/);
    expect(says(edited((stop) => ({ depart: stop.start + 60_000 })))).toMatch(/unfinished/);
    expect(says(edited((stop) => ({ driveKm: stop.driveKm + 1 })))).toMatch(/km told/);
    expect(says(edited(() => ({ visitId: "nobody" })))).toMatch(/nobody asked/);
    expect(says({ ...sheet, days: [...sheet.days, ...sheet.days] })).toMatch(/two routes.*|told of 2 times/);
    expect(says({ ...sheet, days: [] })).toMatch(/told of 0 times/);
    const shift = sheet.days[day]?.shift as PlanSheet["days"][number]["shift"];
    const weekday = WEEKDAYS[(new Date(`${shift.day}T00:00:00Z`).getUTCDay() + 6) % 7];
    const crew = { ...shift.crew, people: 1, skills: [], workDays: WEEKDAYS.filter((each) => each !== weekday) };
    const alone = sheet.days.map((each, d) => (d === day ? { ...each, shift: { ...each.shift, crew } } : each));
    expect(says({ ...sheet, days: alone })).toMatch(/does not work.*lacks/s);
    const late = sheet.days.map((each) => ({ ...each, return: each.return + 12 * 3_600_000 }));
    expect(says({ ...sheet, days: late })).toMatch(/back after the shift/);
  });
});

async function firstWith(wanted: (sheet: PlanSheet) => boolean) {
  for (let n = 0; ; n++) {
    const plan = await planned(`first-${n}`);
    if (wanted(plan.sheet)) return plan;
  }
}
