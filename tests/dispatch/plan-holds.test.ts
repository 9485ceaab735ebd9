import { describe, expect, test } from "vitest";
import { integerBelow, type Rng, seededRng } from "../../lib/core/random.ts";
import { brokenPlanRules, consequenceOf } from "../../lib/dispatch/plans/consequence.ts";
import { drivenDay } from "../../lib/dispatch/plans/driven-day.ts";
import { type HeldPlan, heldPlan } from "../../lib/dispatch/plans/held-plan.ts";
import { moveOptions, routesAfterMove } from "../../lib/dispatch/plans/move-options.ts";
import { planHeld } from "../../lib/dispatch/plans/plan-held.ts";
import { crewDayKey, NO_HOLDS, type PlanHolds } from "../../lib/dispatch/plans/plan-holds.ts";
import { type PlanSheet, planSheet } from "../../lib/dispatch/routes/plan-sheet.ts";
import { brokenRules } from "../../lib/dispatch/routes/plan-validator.ts";
import { type Routes, routesValue } from "../../lib/dispatch/routes/route-instance.ts";
import { brokenSheetRules } from "../../lib/dispatch/routes/sheet-validator.ts";
import { randomPlanInput } from "../support/random-plan-input.ts";

const options = (seed: string) => ({
  ...{ rng: seededRng(seed), effort: 30, solver: null, pricingRounds: 0, pricingNodes: 0, choiceNodes: 0 },
});

/** The sheet of all days at once, as the planner writes it, with everybody else left out for a reason. */
function wholeSheet(held: HeldPlan, routes: Routes): PlanSheet {
  return planSheet(held.input, held.planned, routes);
}

const kmOf = (sheet: PlanSheet) =>
  sheet.days.reduce((sum, day) => sum + day.returnKm + day.stops.reduce((s, stop) => s + stop.driveKm, 0), 0);

async function drawn(seed: string, holdsOf: (held: HeldPlan, rng: Rng) => PlanHolds = () => NO_HOLDS) {
  const rng = seededRng(seed);
  const input = randomPlanInput(rng);
  const holds = holdsOf(heldPlan(input, NO_HOLDS), rng);
  const held = heldPlan(input, holds);
  const found = await planHeld(held, null, options(seed));
  return { rng, input, holds, held, found };
}

/** A visit and a place for it, drawn whether it makes sense or not. */
function drawnMove(held: HeldPlan, routes: Routes, rng: Rng): number[][] {
  const visit = integerBelow(rng, held.input.visits.length);
  const day = held.planned.shifts.length > 0 && rng() < 0.85 ? integerBelow(rng, held.planned.shifts.length) : null;
  const room = day === null ? 0 : (routes[day] as readonly number[]).filter((stop) => stop !== visit).length;
  return routesAfterMove(routes, visit, day, integerBelow(rng, room + 1));
}

describe("consequenceOf", () => {
  test("equals the whole plan reckoned anew, and breaks no rule exactly where two other validators find none", async () => {
    let clean = 0;
    let broken = 0;
    for (let n = 0; n < 300; n++) {
      const { held, found, rng } = await drawn(`move-${n}`);
      const after = drawnMove(held, found.routes, rng);
      const told = consequenceOf(held, found.routes, after);
      const { instance } = held.planned;
      expect(told.value).toBeCloseTo(routesValue(instance, after) - routesValue(instance, found.routes), 6);
      if (told.broken.length > 0) {
        broken++;
        continue;
      }
      clean++;
      // The planner's own sheet and both validators know nothing of the code that told the consequence.
      const sheet = wholeSheet(held, after);
      expect(brokenSheetRules(held.input, sheet), `move-${n}`).toEqual([]);
      expect(brokenRules(held.planned.instance, after), `move-${n}`).toEqual([]);
      expect(told.km).toBeCloseTo(kmOf(sheet) - kmOf(wholeSheet(held, found.routes)), 6);
      expect(told.lateMinutes).toBeCloseTo(0, 6);
      const days = after.flatMap((route, day) => (route.length > 0 ? [drivenDay(held, day, route).day] : []));
      expect(days).toEqual(sheet.days);
    }
    expect(clean).toBeGreaterThan(60);
    expect(broken).toBeGreaterThan(60);
  });

  test("finds a broken rule wherever the validator of routes does", async () => {
    for (let n = 0; n < 200; n++) {
      const { held, found, rng } = await drawn(`bad-${n}`);
      const after = drawnMove(held, found.routes, rng);
      if (brokenRules(held.planned.instance, after).length === 0) continue;
      expect(consequenceOf(held, found.routes, after).broken.length, `bad-${n}`).toBeGreaterThan(0);
    }
  });

  test("a make-safe visit that a move delays or drops is named", async () => {
    let named = 0;
    for (let n = 0; n < 200 && named < 20; n++) {
      const { held, found } = await drawn(`hazard-${n}`);
      for (const [day, route] of found.routes.entries()) {
        const hazard = route.find((stop) => held.input.visits[stop]?.urgency === "make_safe");
        if (hazard === undefined) continue;
        const dropped = consequenceOf(held, found.routes, routesAfterMove(found.routes, hazard, null, 0));
        expect(dropped.hazardsLater.map((each) => each.says)).toContain("drops out of the plan");
        expect(dropped.value).toBeLessThanOrEqual(0);
        named += day >= 0 ? 1 : 0;
      }
    }
    expect(named).toBeGreaterThanOrEqual(20);
  });
});

describe("moveOptions", () => {
  test("offers each worked crew-day once, the best place on it, and its own other places", async () => {
    let offered = 0;
    for (let n = 0; n < 40; n++) {
      const { held, found } = await drawn(`options-${n}`);
      for (let visit = 0; visit < held.input.visits.length; visit++) {
        const found2 = moveOptions(held, found.routes, visit);
        const others = found2.filter((option) => option.day !== null && !option.sameDay).map((option) => option.day);
        expect(new Set(others).size).toBe(others.length);
        for (const option of found2) {
          const after = routesAfterMove(found.routes, visit, option.day, option.position);
          expect(option.consequence).toEqual(consequenceOf(held, found.routes, after));
          offered++;
        }
      }
    }
    expect(offered).toBeGreaterThan(500);
  });
});

describe("planHeld", () => {
  const drawHolds = (held: HeldPlan, rng: Rng): PlanHolds => {
    const shifts = held.planned.shifts.map(({ crew, day }) => ({ crewId: crew.crewId, day }));
    const some = <T>(from: readonly T[], share: number) => from.filter(() => rng() < share);
    const pins = some(held.input.visits, 0.2).flatMap(({ visitId }, index) => {
      const stop = held.planned.instance.stops[held.visitOf.get(visitId) as number];
      const able = (stop?.offers ?? []).flatMap((offer, day) => (offer && offer.windows.length > 0 ? [day] : []));
      const day = shifts[able[index % Math.max(1, able.length)] ?? -1];
      return day ? [{ ...day, visitId, by: "Tester" }] : [];
    });
    return { ...NO_HOLDS, pins, closed: some(shifts, 0.15) };
  };

  test("keeps to the pins and leaves closed days empty, and what it makes breaks no rule", async () => {
    let pinsKept = 0;
    for (let n = 0; n < 400; n++) {
      const { held, found, holds } = await drawn(`held-${n}`, drawHolds);
      expect(brokenPlanRules(held, found.routes), `held-${n}`).toEqual([]);
      for (const [day, route] of found.routes.entries()) {
        const shift = held.planned.shifts[day];
        const key = crewDayKey({ crewId: shift?.crew.crewId ?? "", day: shift?.day ?? "" });
        if (!held.dayOf.has(key)) expect(route).toEqual([]);
        for (const stop of route) {
          const pin = holds.pins.find((each) => each.visitId === held.input.visits[stop]?.visitId);
          if (!pin) continue;
          // One whose crew calls in sick goes to whoever can, and that is told.
          if (held.dayOf.has(crewDayKey(pin))) expect(key).toBe(crewDayKey(pin));
          expect(found.pinsBroken.includes(pin.visitId)).toBe(key !== crewDayKey(pin));
          pinsKept++;
        }
      }
    }
    expect(pinsKept).toBeGreaterThan(50);
  });

  test("a locked day keeps its route to the letter whatever else is planned anew", async () => {
    let locks = 0;
    for (let n = 0; n < 150; n++) {
      const { input, held, found } = await drawn(`lock-${n}`);
      const day = found.routes.findIndex((route) => route.length > 0);
      if (day < 0) continue;
      locks++;
      const { crew, day: date } = held.planned.shifts[day] as HeldPlan["planned"]["shifts"][number];
      const visitIds = (found.routes[day] ?? []).map((stop) => held.input.visits[stop]?.visitId ?? "");
      const again = heldPlan(input, { ...NO_HOLDS, locked: [{ crewId: crew.crewId, day: date, visitIds, by: "T" }] });
      const other = await planHeld(again, found.routes, options(`other-${n}`));
      expect(other.routes[day]).toEqual(found.routes[day]);
      expect(brokenPlanRules(again, other.routes)).toEqual([]);
      const taken = consequenceOf(
        again,
        other.routes,
        routesAfterMove(other.routes, other.routes[day]?.[0] ?? 0, null, 0),
      );
      expect(taken.broken.join()).toMatch(/is locked/);
    }
    expect(locks).toBeGreaterThan(60);
  });

  test("promised visits stay with the crew and day that went out while those can still make them", async () => {
    let promised = 0;
    let moved = 0;
    for (let n = 0; n < 400; n++) {
      const { held, found } = await drawn(`promise-${n}`);
      const again = await planHeld(held, found.routes, options(`again-${n}`));
      found.routes.forEach((route, day) => {
        for (const stop of route) {
          if (held.input.visits[stop]?.booked?.status !== "promised") continue;
          if (again.routes[day]?.includes(stop)) promised++;
          else if (again.routes.flat().includes(stop)) moved++;
        }
      });
    }
    expect(promised).toBeGreaterThan(40);
    expect(moved).toBe(0);
  });

  test("a day added by hand is planned on, other days of that weekday are not", async () => {
    let added = 0;
    for (let n = 0; n < 200 && added < 15; n++) {
      const input = { ...randomPlanInput(seededRng(`added-${n}`)), from: "2026-06-12", days: 9 };
      const idle = input.crews.map((crew) => ({ ...crew, workDays: ["mon" as const] }));
      const first = idle[0];
      if (!first) continue;
      const held = heldPlan(
        { ...input, crews: idle },
        { ...NO_HOLDS, added: [{ crewId: first.crewId, day: "2026-06-13" }] },
      );
      const { routes } = await planHeld(held, null, options(`a-${n}`));
      const daysOf = routes.flatMap((route, day) => (route.length > 0 ? [held.planned.shifts[day]?.day] : []));
      for (const day of daysOf) expect(["2026-06-13", "2026-06-15"]).toContain(day);
      if (daysOf.includes("2026-06-13")) added++;
      expect(brokenPlanRules(held, routes)).toEqual([]);
    }
    expect(added).toBeGreaterThanOrEqual(15);
  });

  test("a make-safe visit that appears is made on the first date that any crew has for it", async () => {
    let made = 0;
    for (let n = 0; n < 260; n++) {
      const drawn = randomPlanInput(seededRng(`new-${n}`));
      const calm = { ...drawn, visits: drawn.visits.map((visit) => ({ ...visit, urgency: "planned" as const })) };
      const before = await planHeld(heldPlan(calm, NO_HOLDS), null, options(`b-${n}`));
      const last = calm.visits.length - 1;
      const visits = calm.visits.map((visit, at) =>
        at === last ? { ...visit, urgency: "make_safe" as const, booked: null } : visit,
      );
      const held = heldPlan({ ...calm, visits }, NO_HOLDS);
      const offers = held.planned.instance.stops[last]?.offers ?? [];
      const dates = offers.flatMap((offer, day) =>
        offer?.windows.length ? [held.planned.shifts[day]?.day ?? ""] : [],
      );
      const after = await planHeld(held, before.routes, options(`n-${n}`));
      const day = after.routes.findIndex((route) => route.includes(last));
      expect(day >= 0, `new-${n}`).toBe(dates.length > 0);
      if (day < 0) continue;
      made++;
      expect(held.planned.shifts[day]?.day, `new-${n}`).toBe(dates.sort()[0]);
    }
    expect(made).toBeGreaterThan(30);
  });

  test("the rest of a day starts where and when its crew is free, and what is under way stays first", async () => {
    let replanned = 0;
    for (let n = 0; n < 250; n++) {
      const { input, held, found } = await drawn(`rest-${n}`);
      const day = found.routes.findIndex((route) => route.length >= 2);
      if (day < 0) continue;
      const driven = drivenDay(held, day, found.routes[day] ?? []).day;
      const first = driven.stops[0] as (typeof driven.stops)[number];
      const over = { ...first, depart: first.depart + 45 * 60_000 };
      const { crew, day: date } = driven.shift;
      const begun = [{ crewId: crew.crewId, day: date, leave: driven.leave, stops: [over], freeAt: over.depart }];
      const rest = heldPlan(input, { ...NO_HOLDS, begun });
      const after = await planHeld(rest, found.routes, options(`now-${n}`));
      expect(after.routes[day]?.[0]).toBe(found.routes[day]?.[0]);
      const redriven = drivenDay(rest, day, after.routes[day] ?? []).day;
      expect(redriven.stops[0]).toEqual(over);
      for (const stop of redriven.stops.slice(1)) expect(stop.arrive).toBeGreaterThanOrEqual(over.depart);
      if (after.routes[day]?.length === 1) continue;
      replanned++;
      expect(brokenPlanRules(rest, after.routes), `rest-${n}`).toEqual([]);
    }
    expect(replanned).toBeGreaterThan(20);
  });
});
