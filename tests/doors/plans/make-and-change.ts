import { describe, expect, test } from "vitest";
import { readPlans } from "../../../lib/reads/plan-board.ts";
import { readMoves } from "../../../lib/reads/plan-moves.ts";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { readTransaction } from "../../../lib/store/transaction.ts";
import { changePlan } from "../../../lib/writes/change-plan.ts";
import { makePlan, planAnew } from "../../support/plan-now.ts";
import { board, change, FROM, made, stopsOf } from "./scene.ts";

describe("makePlan", () => {
  test("keeps a plan as a draft with every visit of the queue on a route or left out with its reason", async () => {
    const { planId } = await made();
    const view = await board(planId);
    expect(view).toMatchObject({ state: "draft", from: FROM, days: 3, revision: 1, madeBy: "local", broken: [] });
    const stops = stopsOf(view);
    expect(stops.length).toBeGreaterThan(3);
    const [{ n }] = (await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx`SELECT count(*)::int AS n FROM standing WHERE urgency <> 'watch' AND rank IS NOT NULL`,
    )) as unknown as [{ n: number }];
    expect(stops.length + view.unserved.length).toBe(n);
    for (const u of view.unserved) expect(u.why).not.toBe("");
    expect((await readPlans(LOCAL_ACTOR))[0]).toMatchObject({ planId, state: "draft" });
    expect(view.map.sites).toHaveLength(n);
    expect(view.map.counties).toMatch(/^M/);
    expect(view.crewDays.every((d) => d.light !== null && d.light.from < d.light.to)).toBe(true);
  });
});

describe("changePlan", () => {
  test("a move changes the plan by what was told before it was made", async () => {
    const { planId } = await made();
    const before = await board(planId);
    for (const stop of stopsOf(before)) {
      const moves = await readMoves(LOCAL_ACTOR, planId, stop.visitId);
      const option = moves.options.find((o) => o.broken.length === 0 && o.crewId !== null && !o.sameDay);
      if (!option?.crewId || !option.day) continue;
      const { crewId, day, position } = option;
      const reason = option.needsReason ? "the customer asked for it" : "";
      await change(planId, { kind: "move", visitId: stop.visitId, crewId, day, position }, reason);
      const after = await board(planId);
      expect(after.objective - before.objective).toBeCloseTo(option.value, 4);
      const km = (view: typeof after) => view.crewDays.reduce((sum, d) => sum + d.km, 0);
      expect(km(after) - km(before)).toBeCloseTo(option.km, 4);
      expect(stopsOf(after).find((s) => s.visitId === stop.visitId)).toMatchObject({ crewId, day });
      expect(after.changes[0]).toMatchObject({ person: "local" });
      expect(after.changes[0]?.says).toContain(stop.visitId);
      return;
    }
    throw new Error("no stop of the demo can be moved");
  });

  test("a move that breaks a rule is refused with the rule, and nothing changes", async () => {
    const { planId } = await made();
    const before = await board(planId);
    let refused = 0;
    for (const { visitId } of [...stopsOf(before), ...before.unserved].slice(0, 12)) {
      const { options } = await readMoves(LOCAL_ACTOR, planId, visitId);
      const bad = options.find((o) => o.broken.length > 0 && o.crewId !== null && o.day !== null);
      if (!bad?.crewId || !bad.day) continue;
      const edit = { kind: "move" as const, visitId, crewId: bad.crewId, day: bad.day, position: bad.position };
      await expect(change(planId, edit, "because")).rejects.toThrow(/breaks a rule/);
      refused++;
    }
    expect(refused).toBeGreaterThan(0);
    expect(await board(planId)).toEqual(before);
  });

  test("a change that was made on what another person saw before is refused", async () => {
    const { planId } = await made();
    const stop = stopsOf(await board(planId))[0];
    const pin = { revision: 1, change: { kind: "pin" as const, visitId: stop?.visitId ?? "" } };
    await changePlan(LOCAL_ACTOR, planId, pin);
    await expect(changePlan(LOCAL_ACTOR, planId, pin)).rejects.toThrow(/Somebody changed this plan/);
  });

  test("planning anew keeps pins and locked days, leaves out what was taken out, and uses an added day", async () => {
    const { planId } = await made();
    const before = await board(planId);
    const day = before.crewDays.find((d) => d.stops.length >= 1);
    const other = stopsOf(before).find((s) => s.crewId !== day?.crewId || s.day !== day?.day);
    const out = stopsOf(before).find(
      (s) => s.visitId !== other?.visitId && s.day !== day?.day && s.urgency !== "make_safe",
    );
    if (!day || !other) throw new Error("the demo has too few stops");
    const { crewId } = day;
    await change(planId, { kind: "lock", crewId, day: day.day });
    await change(planId, { kind: "pin", visitId: other.visitId });
    if (out) await change(planId, { kind: "take_out", visitId: out.visitId }, "not this week");
    await planAnew(LOCAL_ACTOR, planId, { revision: (await board(planId)).revision });
    const after = await board(planId);
    const locked = after.crewDays.find((d) => d.crewId === crewId && d.day === day.day);
    expect(locked?.lockedBy).toBe("local");
    expect(locked?.stops.map((s) => [s.visitId, s.start])).toEqual(day.stops.map((s) => [s.visitId, s.start]));
    const pinned = stopsOf(after).find((s) => s.visitId === other.visitId);
    expect(pinned).toMatchObject({ day: other.day, pinnedBy: "local" });
    if (out) {
      const left = { code: "taken_out", why: "Taken out by local." };
      expect(after.unserved.find((u) => u.visitId === out.visitId)).toMatchObject(left);
    }
    expect(after.broken).toEqual([]);
    const audit = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<{ action: string }[]>`SELECT action FROM audit_entry WHERE subject = ${planId} ORDER BY seq`,
    );
    expect(audit.map((row) => row.action)).toEqual([
      "plan.make",
      "plan.lock",
      "plan.pin",
      ...(out ? ["plan.take_out"] : []),
      "plan.anew",
    ]);
  });

  test("a Saturday that is added by hand is planned on", async () => {
    const { planId } = await makePlan(LOCAL_ACTOR, { from: "2026-12-05", days: 1, effort: 30 });
    const idle = (await board(planId)).idle;
    expect(idle.length).toBeGreaterThan(0);
    expect(stopsOf(await board(planId))).toEqual([]);
    for (const { crewId } of idle) await change(planId, { kind: "add_day", crewId, day: "2026-12-05" });
    await planAnew(LOCAL_ACTOR, planId, { revision: (await board(planId)).revision });
    const after = await board(planId);
    expect(stopsOf(after).length).toBeGreaterThan(0);
    expect(after.crewDays.every((d) => d.addedBy === "local")).toBe(true);
    expect(after.broken).toEqual([]);
  });
});
