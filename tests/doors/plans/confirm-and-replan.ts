import { describe, expect, test } from "vitest";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { confirmPlan } from "../../../lib/writes/confirm-plan.ts";
import { makePlan, replanRest } from "../../support/plan-now.ts";
import { board, bookings, change, FROM, made, stopsOf } from "./scene.ts";

describe("confirmPlan", () => {
  test("gives each visit its crew and hours, leaves promises as they are, and is the only plan that holds", async () => {
    const promisedBefore = (await bookings()).filter((b) => b.status === "promised");
    const first = await made();
    await confirmPlan(LOCAL_ACTOR, first.planId, { revision: 1 });
    const view = await board(first.planId);
    const booked = new Map((await bookings()).map((b) => [b.visit_id, b]));
    for (const stop of stopsOf(view)) {
      const row = booked.get(stop.visitId);
      // What was promised stays as it was said, also where its time has passed.
      if (row?.status === "promised") continue;
      expect(row).toMatchObject({ crew_id: stop.crewId, status: "planned" });
      expect(row?.from?.toISOString().slice(0, 10)).toBe(stop.day);
    }
    expect((await bookings()).filter((b) => b.status === "promised")).toEqual(promisedBefore);
    await expect(confirmPlan(LOCAL_ACTOR, first.planId, { revision: view.revision })).rejects.toThrow(/is confirmed/);
    const second = await made();
    await confirmPlan(LOCAL_ACTOR, second.planId, { revision: 1 });
    expect((await board(first.planId)).state).toBe("superseded");
    // What held before and is now elsewhere is told, and nothing else.
    const now = new Map(stopsOf(await board(second.planId)).map((s) => [s.visitId, s]));
    const away = stopsOf(view).filter((s) => {
      const other = now.get(s.visitId);
      return !other || other.day !== s.day || other.crewId !== s.crewId || other.start !== s.start;
    });
    const says = (await board(second.planId)).changes[0]?.says ?? "";
    for (const stop of away) expect(says).toContain(stop.visitId);
  });

  test("a visit that a confirmed plan makes on another day is not planned twice, and that is said", async () => {
    const first = await made();
    await confirmPlan(LOCAL_ACTOR, first.planId, { revision: 1 });
    const out = stopsOf(await board(first.planId));
    const later = await makePlan(LOCAL_ACTOR, { from: "2026-12-03", days: 2, effort: 20 });
    const view = await board(later.planId);
    for (const stop of out) {
      expect(stopsOf(view).map((s) => s.visitId)).not.toContain(stop.visitId);
      expect(view.unserved.find((u) => u.visitId === stop.visitId)?.why).toContain(
        `on ${stop.day} by a confirmed plan`,
      );
    }
    const pinned = stopsOf(view)[0];
    if (pinned) await change(later.planId, { kind: "take_out", visitId: pinned.visitId }, "test");
    expect((await board(later.planId)).unserved.filter((u) => u.code === "planned_elsewhere")).toHaveLength(out.length);
  });

  test("a plan that went out is changed with a reason only, and the visit's booking follows", async () => {
    const { planId } = await made();
    await confirmPlan(LOCAL_ACTOR, planId, { revision: 1 });
    const stop = stopsOf(await board(planId)).find((s) => s.visitId.startsWith("visit-") && s.urgency !== "make_safe");
    if (!stop) throw new Error("no plain stop in the demo");
    await expect(change(planId, { kind: "take_out", visitId: stop.visitId })).rejects.toThrow(/Say why/);
    await change(planId, { kind: "take_out", visitId: stop.visitId }, "the customer asked for another week");
    expect((await bookings()).find((b) => b.visit_id === stop.visitId)).toMatchObject({ crew_id: null, from: null });
  });
});

describe("replanRest", () => {
  test("keeps what is done or under way, starts from when the crew is free, and says what moves", async () => {
    const { planId } = await made();
    await confirmPlan(LOCAL_ACTOR, planId, { revision: 1 });
    const day = (await board(planId)).crewDays.find((d) => d.stops.length >= 2);
    if (!day) throw new Error("no day with two stops in the demo");
    const first = day.stops[0] as (typeof day.stops)[number];
    const at = (minute: number) => Date.parse(`${day.day}T06:00:00Z`) + minute * 60_000;
    // The demo's crews live in America/Chicago, six hours behind UTC in winter.
    const now = at(first.from + 15);
    const freeAt = new Date(at(first.to + 90)).toISOString();
    const crews = [{ crewId: day.crewId, off: false, freeAt }];
    const rest = await replanRest(LOCAL_ACTOR, planId, { reason: "The first visit runs over.", crews }, now);
    const after = await board(rest.planId);
    const again = after.crewDays.find((d) => d.crewId === day.crewId && d.day === day.day);
    expect(again?.stops[0]).toMatchObject({ visitId: first.visitId, frozen: true, start: first.start });
    for (const stop of again?.stops.slice(1) ?? []) expect(stop.driveFrom).toBeGreaterThanOrEqual(first.to + 90);
    expect(rest.says).not.toBe("Done.");
    expect(after.broken).toEqual([]);
    await confirmPlan(LOCAL_ACTOR, rest.planId, { revision: 1 });
  });

  test("a crew that calls in sick makes nothing more, and others take what they can", async () => {
    const { planId } = await made();
    await confirmPlan(LOCAL_ACTOR, planId, { revision: 1 });
    const day = (await board(planId)).crewDays.find((d) => d.day === FROM && d.stops.length >= 1);
    if (!day) throw new Error("no stop on the first day of the demo");
    const now = Date.parse(`${FROM}T11:00:00Z`);
    const rest = await replanRest(
      LOCAL_ACTOR,
      planId,
      { reason: "Sick.", crews: [{ crewId: day.crewId, off: true, freeAt: null }] },
      now,
    );
    const after = await board(rest.planId);
    const gone = after.crewDays.find((d) => d.crewId === day.crewId && d.day === FROM);
    expect(gone).toMatchObject({ closedBy: "local", stops: [] });
    expect(after.broken).toEqual([]);
    for (const stop of day.stops) expect(rest.says).toContain(stop.visitId);
  });

  test("a plan that does not hold, or a day that does not go on, is refused with what to do", async () => {
    const { planId } = await made();
    const body = { reason: "x", crews: [] };
    await expect(replanRest(LOCAL_ACTOR, planId, body)).rejects.toThrow(/went out/);
    await confirmPlan(LOCAL_ACTOR, planId, { revision: 1 });
    await expect(replanRest(LOCAL_ACTOR, planId, body, Date.UTC(2027, 0, 1))).rejects.toThrow(/Make a new plan/);
  });
});
