import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import type { OutlookHour, PlanInput } from "../../lib/dispatch/routes/plan-input.ts";
import { planInstance } from "../../lib/dispatch/routes/plan-instance.ts";
import { planSheet } from "../../lib/dispatch/routes/plan-sheet.ts";
import { brokenRules } from "../../lib/dispatch/routes/plan-validator.ts";
import { searchRoutes } from "../../lib/dispatch/routes/search-routes.ts";
import { planCrew as crew, planCase as input, planVisit as visit } from "../support/plan-cases.ts";

function planned(given: PlanInput) {
  const built = planInstance(given);
  const routes = searchRoutes(built.instance, { rng: seededRng("plan"), effort: 50 });
  expect(brokenRules(built.instance, routes)).toEqual([]);
  return { ...planSheet(given, built, routes), notes: built.notes };
}

const codes = (given: PlanInput) => planned(given).unserved.map((each) => [each.visitId, each.code]);

describe("planInstance", () => {
  test("sends a crew within its shift on its own clock", () => {
    const { days, unserved } = planned(input([visit("a")], [crew()]));
    expect(unserved).toEqual([]);
    expect(days[0]?.leave).toBeGreaterThanOrEqual(Date.parse("2026-06-01T12:00:00Z"));
    expect(days[0]?.return).toBeLessThanOrEqual(Date.parse("2026-06-01T20:00:00Z"));
  });

  test("without crews says so for every visit", () => {
    const given = input([visit("a")], []);
    expect(codes(given)).toEqual([["a", "no_crew_day"]]);
    expect(planned(given).notes).toEqual(["No crew is recorded."]);
  });

  test("says that a shift ends before it starts and plans with the other crews", () => {
    const { days, notes } = planned(input([visit("a")], [crew({ crewId: "C0", shiftEnd: "07:00" }), crew()]));
    expect(notes[0]).toMatch(/C0.*not after its start/);
    expect(days[0]?.shift.crew.crewId).toBe("C1");
  });

  test("refuses make-safe, roof and live work to a crew not recorded as two people, one of them qualified", () => {
    for (const few of [{ people: 1 }, { people: null }, { qualifiedPeople: 0 }, { qualifiedPeople: null }]) {
      const visits = [
        visit("a", { urgency: "make_safe", liveMeasurement: false }),
        visit("b", { skills: ["roof"], liveMeasurement: false }),
        visit("c"),
        visit("d", { liveMeasurement: false }),
      ];
      expect(codes(input(visits, [crew(few)]))).toEqual(["a", "b", "c"].map((id) => [id, "people_missing"]));
    }
  });

  test("a held site is passed over until its day; an emergency and what was promised are not held", () => {
    const held = { until: "2026-06-01", says: "Held until 2026-06-01 by A. Manager: roof works." };
    const booked = {
      ...{ visitId: "promised", siteId: "S-promised", crewId: "C1", status: "promised" as const, note: null },
      ...{ promisedFrom: Date.parse("2026-06-01T14:00:00Z"), promisedTo: Date.parse("2026-06-01T15:00:00Z") },
    };
    const visits = [
      visit("held", { held }),
      visit("hazard", { held, urgency: "make_safe" }),
      visit("promised", { held, booked }),
    ];
    expect(planned(input(visits, [crew()])).unserved).toMatchObject([
      { visitId: "held", code: "held", why: held.says },
    ]);
    const two = planned({ ...input([visit("held", { held })], [crew()]), days: 2 });
    expect(two.unserved).toEqual([]);
    expect(two.days.map((day) => day.shift.day)).toEqual(["2026-06-02"]);
  });

  test("serves make-safe first when the hours are not enough, whatever the money", () => {
    const visits = [
      visit("rich", { hoursOnSite: 6, avoided: 1e6 }),
      visit("must", { hoursOnSite: 6, avoided: 0, urgency: "make_safe" }),
    ];
    expect(codes(input(visits, [crew()]))).toEqual([["rich", "not_enough_hours"]]);
  });

  test("does what it can when all are must-do and the hours are not enough", () => {
    const visits = ["a", "b", "c"].map((id) => visit(id, { hoursOnSite: 4, urgency: "make_safe" }));
    const { days, unserved } = planned(input(visits, [crew()]));
    expect(days.flatMap((day) => day.stops)).toHaveLength(1);
    expect(unserved.map((each) => each.code)).toEqual(["not_enough_hours", "not_enough_hours"]);
  });

  test("names a visit longer than any shift, a base too far, a lacking skill and closed access", () => {
    expect(codes(input([visit("a", { hoursOnSite: 9 })], [crew()]))).toEqual([["a", "longer_than_shift"]]);
    expect(codes(input([visit("a")], [crew({ baseLatitude: 30, baseLongitude: -50 })]))).toEqual([["a", "too_far"]]);
    expect(codes(input([visit("a", { skills: ["battery"] })], [crew()]))).toEqual([["a", "skill_missing"]]);
    expect(codes(input([visit("a", {}, { accessFrom: "17:00", accessTo: "20:00" })], [crew()]))).toEqual([
      ["a", "access_or_daylight"],
    ]);
  });

  test("keeps a promise to the hour and to the crew", () => {
    const booked = {
      visitId: "a",
      siteId: "S-a",
      promisedFrom: Date.parse("2026-06-01T17:00:00Z"),
      promisedTo: Date.parse("2026-06-01T18:00:00Z"),
      crewId: "C2",
      status: "promised" as const,
      note: null,
    };
    const { days } = planned(input([visit("a", { booked })], [crew(), crew({ crewId: "C2" })]));
    expect(days[0]?.shift.crew.crewId).toBe("C2");
    const start = days[0]?.stops[0]?.start as number;
    expect(start).toBeGreaterThanOrEqual(booked.promisedFrom);
    expect(start).toBeLessThanOrEqual(booked.promisedTo);
    expect(days[0]?.stops[0]?.pinned).toBe(true);
  });

  test("a promise whose time has passed binds no hour and no crew, and still comes before what was not promised", () => {
    const booked = {
      ...{ visitId: "late", siteId: "S-late", crewId: "gone", status: "promised" as const, note: null },
      promisedFrom: Date.parse("2026-05-29T13:00:00Z"),
      promisedTo: Date.parse("2026-05-29T17:00:00Z"),
    };
    const visits = [visit("late", { booked, hoursOnSite: 6 }), visit("rich", { avoided: 1e6, hoursOnSite: 6 })];
    const { days, unserved } = planned(input(visits, [crew()]));
    expect(days[0]?.stops.map((stop) => [stop.visitId, stop.pinned])).toEqual([["late", false]]);
    expect(unserved.map((each) => each.visitId)).toEqual(["rich"]);
    const onTheDay = { ...booked, promisedTo: Date.parse("2026-06-01T05:00:00Z") };
    expect(codes(input([visit("late", { booked: onTheDay })], [crew()]))).toEqual([["late", "other_crew_promised"]]);
  });

  test("a crew without recorded work days is planned Monday to Friday, and that is said", () => {
    const given = input([visit("a")], [crew({ workDays: [] })], { from: "2026-06-06", days: 3 });
    const { days, notes } = planned(given);
    expect(days.map((day) => day.shift.day)).toEqual(["2026-06-08"]);
    expect(notes).toEqual(["Crew C1: no work days are recorded; Monday to Friday assumed."]);
  });

  test("keeps roof work out of rain, gusts, lightning, wet and frost, and work on the ground from wet metal and lightning", () => {
    const calm: Omit<OutlookHour, "at"> = {
      rainProbability: 0,
      gustProbability: 0,
      thunderProbability: 0,
      filmMm: 0,
      temperatureC: 15,
    };
    const refusals = [
      { bad: { rainProbability: 0.4 }, ground: true },
      { bad: { gustProbability: 0.4 }, ground: false },
      { bad: { thunderProbability: 0.4 }, ground: true },
      { bad: { filmMm: 0.05 }, ground: true },
      { bad: { temperatureC: -1 }, ground: false },
    ];
    for (const { bad, ground } of refusals) {
      const hours = Array.from({ length: 24 }, (_, h) => ({
        ...calm,
        ...bad,
        at: Date.parse("2026-06-01T04:00:00Z") + h * 3_600_000,
      }));
      const visits = [visit("roof", { skills: ["roof"] }), visit("ground")];
      const outlook = new Map([
        ["S-roof", hours],
        ["S-ground", hours],
      ]);
      const left = [["roof", "roof_weather"], ...(ground ? [["ground", "wet_surface"]] : [])];
      expect(codes(input(visits, [crew()], { outlook }))).toEqual(left);
    }
  });

  test("moves roof work to the dry part of the day", () => {
    const wetUntil = Date.parse("2026-06-01T16:00:00Z");
    const hours = Array.from({ length: 24 }, (_, h) => Date.parse("2026-06-01T04:00:00Z") + h * 3_600_000).map(
      (at) => ({
        at,
        rainProbability: at <= wetUntil ? 0.9 : 0.1,
        gustProbability: null,
        thunderProbability: null,
        filmMm: null,
        temperatureC: null,
      }),
    );
    const { days } = planned(
      input([visit("a", { skills: ["roof"] })], [crew()], { outlook: new Map([["S-a", hours]]) }),
    );
    expect(days[0]?.stops[0]?.start).toBeGreaterThanOrEqual(wetUntil);
  });
});
