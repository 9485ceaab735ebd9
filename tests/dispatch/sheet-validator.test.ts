import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { type Crew, type Site, WEEKDAYS } from "../../lib/core/records.ts";
import type { OutlookHour, PlanInput, VisitToPlan } from "../../lib/dispatch/routes/plan-input.ts";
import { planInstance } from "../../lib/dispatch/routes/plan-instance.ts";
import { planRoutes } from "../../lib/dispatch/routes/plan-routes.ts";
import { type PlanSheet, planSheet } from "../../lib/dispatch/routes/plan-sheet.ts";
import { brokenSheetRules } from "../../lib/dispatch/routes/sheet-validator.ts";
import type { PlannedStop } from "../../lib/dispatch/routes/walk-route.ts";
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

describe("work at wet metal", () => {
  const wetFrom = (input: PlanInput, visit: VisitToPlan, inTheWet: VisitToPlan["inTheWet"]): PlanInput => ({
    ...input,
    visits: [{ ...visit, inTheWet }],
    outlook: new Map([[visit.site.siteId, wetHours(Date.parse(`${input.from}T00:00:00Z`))]]),
  });
  const wetHours = (first: number): OutlookHour[] =>
    Array.from({ length: 96 }, (_, h) => ({
      ...{ at: first + h * 3_600_000, rainProbability: 0.9, gustProbability: 0, thunderProbability: 0 },
      ...{ filmMm: 0.3, temperatureC: 12 },
    }));
  const base = (): { input: PlanInput; visit: VisitToPlan } => {
    const drawn = randomPlanInput(seededRng("wet"));
    const crew: Crew = {
      ...{ crewId: "C0", name: "Crew", baseLatitude: 39, baseLongitude: -87, timeZone: "America/Chicago" },
      ...{ shiftStart: "07:00", shiftEnd: "17:00", skills: ["electrician", "roof"], people: 2, qualifiedPeople: 2 },
      ...{ hourlyCost: 1, costPerKm: 0.1, workDays: [...WEEKDAYS] },
    };
    const site = { siteId: "S0", latitude: 39.1, longitude: -87.1, timeZone: "America/Chicago" } as Site;
    const visit: VisitToPlan = {
      ...{ visitId: "V0", site: { ...site, accessFrom: null, accessTo: null }, urgency: "planned", avoided: 5000 },
      ...{ hoursOnSite: 1, skills: ["electrician"], liveMeasurement: false, booked: null },
    };
    const { roads: _, ...plain } = drawn;
    return { input: { ...plain, crews: [crew], from: "2026-06-15", days: 2 }, visit };
  };
  const plan = async (input: PlanInput) => {
    const built = planInstance(input);
    const { routes } = await planRoutes(built.instance, { rng: seededRng("plan"), effort: 15, ...QUIET });
    const sheet = planSheet(input, built, routes);
    expect(brokenSheetRules(input, sheet)).toEqual([]);
    return sheet;
  };

  test("nobody is sent to it unless somebody allowed that very visit; then it is planned", async () => {
    const { input, visit } = base();
    expect((await plan(wetFrom(input, visit, undefined))).unserved[0]).toMatchObject({ code: "wet_surface" });
    const allowed = await plan(wetFrom(input, visit, "allowed"));
    expect(allowed.days).toHaveLength(1);
    expect((await plan(wetFrom(input, visit, "taken_back"))).days).toEqual([]);
    // The same sheet without the leave breaks a rule by the validator's own reading of the records.
    const bare = brokenSheetRules(wetFrom(input, visit, undefined), allowed).join("; ");
    expect(bare).toMatch(/wet metal without anybody's leave/);
    expect(brokenSheetRules(wetFrom(input, visit, "taken_back"), allowed).join("; ")).toMatch(/without leave/);
  });

  test("no leave takes anybody onto a roof, to a measurement, alone, or out in lightning", async () => {
    const { input, visit } = base();
    const refused = async (bad: PlanInput) => (await plan(bad)).days.length === 0;
    expect(await refused(wetFrom(input, { ...visit, skills: ["roof"] }, "allowed"))).toBe(true);
    expect(await refused(wetFrom(input, { ...visit, liveMeasurement: true }, "allowed"))).toBe(true);
    const alone = { ...input, crews: input.crews.map((crew) => ({ ...crew, people: 1 })) };
    expect(await refused(wetFrom(alone, visit, "allowed"))).toBe(true);
    const half = { ...input, crews: input.crews.map((crew) => ({ ...crew, qualifiedPeople: 1 })) };
    expect(await refused(wetFrom(half, visit, "allowed"))).toBe(true);
    const storm = wetFrom(input, visit, "allowed");
    const hours = (storm.outlook.get("S0") ?? []).map((hour) => ({ ...hour, thunderProbability: 0.5 }));
    expect(await refused({ ...storm, outlook: new Map([["S0", hours]]) })).toBe(true);
    // What a roof visit would break, were it planned all the same.
    const { days, unserved } = await plan(wetFrom(input, visit, "allowed"));
    const onRoof = wetFrom(input, { ...visit, skills: ["roof"] }, "allowed");
    const says = brokenSheetRules(onRoof, { days, unserved }).join("; ");
    expect(says).toMatch(/roof work planned for the wet.*on the roof in weather/);
  });

  test("an emergency does not wait for the ground to dry", async () => {
    const { input, visit } = base();
    expect((await plan(wetFrom(input, { ...visit, urgency: "make_safe" }, undefined))).days).toHaveLength(1);
    expect((await plan(wetFrom(input, { ...visit, urgency: "make_safe" }, "allowed"))).days).toHaveLength(1);
  });
});

async function firstWith(wanted: (sheet: PlanSheet) => boolean) {
  for (let n = 0; ; n++) {
    const plan = await planned(`first-${n}`);
    if (wanted(plan.sheet)) return plan;
  }
}
