import { describe, expect, test } from "vitest";
import { readQueue } from "../../../lib/reads/queue.ts";
import { SitesAction } from "../../../lib/reads/ranked-sites-query.ts";
import { readVisit } from "../../../lib/reads/visit.ts";
import { readVisits } from "../../../lib/reads/visits.ts";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { storedPlan } from "../../../lib/store/plans.ts";
import { readTransaction, systemTransaction } from "../../../lib/store/transaction.ts";
import { actOnSites } from "../../../lib/writes/sites-action.ts";
import { removeTravelTimes, takeTravelTimes } from "../../../lib/writes/travel-times.ts";
import { changeWetLook } from "../../../lib/writes/wet-look.ts";
import { board, made, stopsOf } from "./scene.ts";

describe("a plan of crews and ways that cannot all be right", () => {
  const crewRows = () =>
    readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<{ id: string; lon: number; starts: string; days: string | null }[]>`
        SELECT crew_id AS id, base_longitude AS lon, shift_start AS starts, work_days AS days FROM crew
        WHERE account_id = current_account() ORDER BY crew_id`,
    );
  const set = (id: string, lon: number, starts: string, days: string | null) =>
    systemTransaction(
      LOCAL_ACTOR,
      (tx) => tx`UPDATE crew SET base_longitude = ${lon}, shift_start = ${starts}, work_days = ${days}
        WHERE account_id = current_account() AND crew_id = ${id}`,
    );

  test("says which base lies in the sea, which shift ends before it starts, which ways lack, and does the rest", async () => {
    const before = await crewRows();
    const [wet, odd] = before;
    if (!wet || !odd || before.length < 3) throw new Error("the demo has too few crews");
    const { siteId } = stopsOf(await board((await made()).planId))[0] ?? { siteId: "" };
    try {
      await set(wet.id, -wet.lon, wet.starts, wet.days);
      await set(odd.id, odd.lon, "23:30", odd.days);
      const head = "from_kind,from_id,to_kind,to_id,minutes,km";
      const given = `${head}\ncrew,${before[2]?.id},site,${siteId},20,18\ncrew,${before[2]?.id},site,${siteId}x,-5,`;
      expect(await takeTravelTimes(LOCAL_ACTOR, given)).toMatchObject({ stored: 1, refused: [{ line: 3 }] });
      const view = await board((await made()).planId);
      const notes = view.notes.join(" ");
      expect(notes).toContain(`Crew ${wet.id}: its base at`);
      expect(notes).toMatch(/lies in the sea or abroad; check its coordinates/);
      expect(notes).toContain(`Crew ${odd.id}: the shift ends at`);
      expect(notes).toMatch(/The travel times on record lacks \d+ of \d+ ways, such as /);
      expect(stopsOf(view).length).toBeGreaterThan(0);
      expect(stopsOf(view).every((stop) => stop.crewId !== wet.id && stop.crewId !== odd.id)).toBe(true);
      expect(view.broken).toEqual([]);
    } finally {
      await removeTravelTimes(LOCAL_ACTOR);
      for (const { id, lon, starts, days } of before) await set(id, lon, starts, days);
    }
  });

  test("without a crew that works there is a plan that serves nobody and says so of every visit", async () => {
    const before = await crewRows();
    try {
      // A day that none of the days asked for is.
      for (const { id, lon, starts } of before) await set(id, lon, starts, "sun");
      const view = await board((await made()).planId);
      expect(stopsOf(view)).toEqual([]);
      expect(view.crewDays).toEqual([]);
      expect(view.unserved.length).toBeGreaterThan(3);
      expect(new Set(view.unserved.map((u) => u.code))).toEqual(new Set(["no_crew_day"]));
    } finally {
      for (const { id, lon, starts, days } of before) await set(id, lon, starts, days);
    }
  });
});

describe("a hold", () => {
  test("keeps a proposal out of the plan until its day, with its reason; an emergency and a promise it does not keep", async () => {
    const before = await board((await made()).planId);
    const visit = stopsOf(before).find((v) => v.urgency !== "make_safe" && v.visitId.startsWith("visit-"));
    if (!visit) throw new Error("the demo has no plain stop");
    const act = (more: object) => actOnSites(LOCAL_ACTOR, SitesAction.parse({ siteIds: [visit.siteId], ...more }));
    expect((await act({ action: "hold", until: "2026-12-31", reason: "roof works by the owner" })).done).toBe(1);
    const queued = (await readQueue(LOCAL_ACTOR)).visits.find((v) => v.visit_id === visit.visitId);
    expect(queued?.reasons[0]).toMatch(/^Held until 2026-12-31 by .+: roof works by the owner\./);
    const shown = (await readVisits(LOCAL_ACTOR)).visits.find((v) => v.visit_id === visit.visitId);
    expect(shown?.reasons).toEqual(queued?.reasons);
    // The plan from before says what is no more right of it; the next one leaves the visit out and says why.
    expect((await board(before.planId)).broken.join(" ")).toContain(visit.visitId);
    const view = await board((await made()).planId);
    expect(view.unserved.find((u) => u.visitId === visit.visitId)).toMatchObject({
      code: "held",
      why: expect.stringContaining("Held until 2026-12-31"),
    });
    expect(stopsOf(view).some((stop) => stop.visitId === visit.visitId)).toBe(false);
    expect((await act({ action: "release" })).done).toBe(1);
    expect((await readQueue(LOCAL_ACTOR)).visits.find((v) => v.visit_id === visit.visitId)?.reasons[0]).not.toMatch(
      /Held/,
    );
    expect(stopsOf(await board((await made()).planId)).some((stop) => stop.visitId === visit.visitId)).toBe(true);
  });
});

describe("changeWetLook", () => {
  test("a visit allowed in the wet is planned as a look on the ground, by name and reason, until that is ended", async () => {
    const before = await board((await made()).planId);
    const hazard = [...stopsOf(before), ...before.unserved].find((v) => v.urgency === "make_safe");
    const allow = { act: "allow", name: "Rosa Manager", reason: "The log trips in the wet only." } as const;
    if (hazard) await expect(changeWetLook(LOCAL_ACTOR, hazard.visitId, allow)).rejects.toThrow(/made safe/);
    const visit = stopsOf(before).find((v) => v.urgency !== "make_safe" && v.visitId.startsWith("visit-"));
    if (!visit) throw new Error("the demo has no plain stop");
    await changeWetLook(LOCAL_ACTOR, visit.visitId, allow);
    await expect(changeWetLook(LOCAL_ACTOR, visit.visitId, allow)).rejects.toThrow(/already/);
    const { planId } = await made();
    const stored = await readTransaction(LOCAL_ACTOR, (tx) => storedPlan(tx, planId));
    const basis = stored?.visits.find((v) => v.visitId === visit.visitId)?.basis;
    expect(basis).toMatchObject({ inTheWet: "allowed", liveMeasurement: false });
    expect(basis?.skills).not.toContain("roof");
    expect(stored?.visits.filter((v) => v.basis.inTheWet).map((v) => v.visitId)).toEqual([visit.visitId]);
    expect((await readVisit(LOCAL_ACTOR, visit.visitId))?.wetLook).toMatchObject({ allowedBy: "Rosa Manager" });
    await changeWetLook(LOCAL_ACTOR, visit.visitId, { act: "end", reason: "Seen by the remote reading." });
    if (stopsOf(await board(planId)).some((stop) => stop.visitId === visit.visitId)) {
      const broken = (await board(planId)).broken.join(" ");
      expect(broken).toContain(visit.visitId);
      expect(broken).toContain("plan anew");
    }
    const audit = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<{ action: string; detail: { reason: string } }[]>`SELECT action, detail FROM audit_entry
        WHERE subject = ${visit.visitId} AND action LIKE 'wet_look.%' ORDER BY seq`,
    );
    expect(audit.map((row) => [row.action, row.detail.reason])).toEqual([
      ["wet_look.allow", allow.reason],
      ["wet_look.end", "Seen by the remote reading."],
    ]);
  });
});
