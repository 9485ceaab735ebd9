import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import postgres from "postgres";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { checkOutRound } from "../../lib/jobs/check-out-round.ts";
import { makeSafeRound } from "../../lib/jobs/make-safe-round.ts";
import { refreshScores, staleCount } from "../../lib/jobs/refresh-scores.ts";
import { readScore } from "../../lib/reads/score.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { isolatedNow, makeSafes } from "../../lib/store/make-safe.ts";
import { readTransaction, writeTransaction } from "../../lib/store/transaction.ts";
import type { VisitEdit } from "../../lib/visit/visit-edits.ts";
import { itemKey, WHOLE_VISIT } from "../../lib/visit/visit-records.ts";
import { acknowledgeAlert, saveDuty } from "../../lib/writes/alerts.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { MakeSafeStepBody, writeMakeSafeStep } from "../../lib/writes/make-safe-step.ts";
import { syncVisit } from "../../lib/writes/sync-visit.ts";
import { keepVisitPhoto } from "../../lib/writes/visit-photo.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();
const MINUTE = 60_000;
let data = "";
beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-make-safe-"));
  process.env.RAINTRIP_DATA = data;
  const folder = path.join(data, "drop");
  await writeDemoDrop(folder, { seed: "demo", sites: 8, days: 60, endDay: "2026-10-31" });
  await importPaths(LOCAL_ACTOR, [folder]);
});
afterAll(() => {
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

let n = 0;
function edit(visitId: string, over: Partial<VisitEdit>): VisitEdit {
  n++;
  return {
    ...{ edit_id: `00000000-0000-4000-8000-${String(n).padStart(12, "0")}`, visit_id: visitId, item: WHOLE_VISIT },
    ...{ field: "note", value: "x", at: Date.now() - 60 * MINUTE + n, by: "A. Tester", device: "phone-a", seq: n },
    ...over,
  };
}
const volts = (text: string, over: object = {}) =>
  JSON.stringify({
    ...{ text, unit: "volt", quantity: "dc", meter: "high", method: null, licence: "L-1" },
    ...{ pointA: "ground_bus", pointB: "electrode", ...over },
  });
const ITEM = itemKey("section_potential", null, null);
const stop = (visitId: string) => edit(visitId, { item: ITEM, field: "reading", value: volts("41") });
const lowered = (visitId: string) =>
  edit(visitId, { item: ITEM, field: "reading", value: volts("1", { meter: "low", qualified: true }) });
const sync = (siteId: string, visitId: string, edits: VisitEdit[]) =>
  syncVisit(LOCAL_ACTOR, { visitId, siteId, edits });

const ofSite = (siteId: string) => readTransaction(LOCAL_ACTOR, (tx) => makeSafes(tx, { siteId }));
const alerts = () =>
  readTransaction(
    LOCAL_ACTOR,
    (tx) => tx<{ kind: string; subject: string; by: string | null; detail: Record<string, unknown> }[]>`
      SELECT kind, subject, acknowledged_by AS by, detail FROM outbox_alert ORDER BY raised_at, kind`,
  );
const round = (now = Date.now()) => makeSafeRound(database(), LOCAL_ACTOR.accountId, now);
const step = async (makeSafeId: string, body: object) =>
  writeMakeSafeStep(LOCAL_ACTOR, makeSafeId, MakeSafeStepBody.parse(body));
const audits = (subject: string) =>
  readTransaction(
    LOCAL_ACTOR,
    (tx) =>
      tx<
        { action: string }[]
      >`SELECT action FROM audit_entry WHERE subject = ${subject} AND action LIKE 'make_safe%' ORDER BY seq`,
  );

const STEPS = {
  acknowledged: { kind: "acknowledged", by: "A. Tester" },
  told: {
    ...{ kind: "owner_told", by: "A. Tester", whom: "the owner", means: "telephone", keepOff: true, noReset: true },
  },
  repaired: {
    ...{ kind: "repaired", by: "B. Tester", cause: "open_section_bond", action: "jumper fitted", confirmed: true },
  },
  tested: { kind: "tested", by: "B. Tester", continuity: "pass", insulation: "pass", surface: "wet" },
  authorised: { kind: "authorised", by: "C. Tester", licence: "E-1", qualified: true },
};
let photos = 0;
async function lockPhoto(siteId: string, visitId: string): Promise<string> {
  const photo_id = `00000000-0000-4000-9000-${String(++photos).padStart(12, "0")}`;
  const body = Uint8Array.from([0xff, 0xd8, 0xff, 0xe0, 1]);
  const request = new Request("http://x/", { method: "POST", body: body as never });
  await keepVisitPhoto(LOCAL_ACTOR, { photo_id, visit_id: visitId, site_id: siteId, item: "lock" }, request);
  return photo_id;
}

/** What the application's own role may not do: write an event at another time than now. */
async function asOwner(work: (sql: postgres.TransactionSql) => Promise<void>): Promise<void> {
  const owner = postgres(database().address.ownerUrl, { max: 1, onnotice: () => {} });
  await owner.begin(async (sql) => {
    await sql`SELECT set_config('raintrip.account', '1', true), set_config('raintrip.role', 'system', true)`;
    await work(sql);
  });
  await owner.end();
}

describe("a measured hazard", () => {
  test("opens one make_safe however often it is sent, and it runs to its watch only in order", async () => {
    const visit = [stop("v1")];
    await sync("S001", "v1", visit);
    await sync("S001", "v1", visit);
    const [one, ...more] = await ofSite("S001");
    expect(more).toEqual([]);
    expect(one).toMatchObject({ openedBy: "measurement", closedAt: null });
    expect(one?.reason).toContain("41 V DC from ground bus to electrode");
    const id = one?.makeSafeId ?? "";
    expect((await alerts()).map((a) => a.kind).sort()).toEqual(["make_safe", "stop_reading"]);

    await expect(step(id, STEPS.told)).rejects.toThrow(/comes first/);
    await expect(step(id, STEPS.authorised)).rejects.toThrow(/comes first/);
    await expect(step(id, { kind: "acknowledged", by: " " })).rejects.toThrow();
    await expect(step(id, { ...STEPS.acknowledged, at: 0 })).rejects.toThrow(/at/);
    await step(id, STEPS.acknowledged);
    expect((await alerts()).map((a) => a.by)).toEqual(["A. Tester", "A. Tester"]);
    await expect(step(id, { ...STEPS.told, noReset: false })).rejects.toThrow(/not to reset/);
    await step(id, STEPS.told);
    const photo = await lockPhoto("S001", id);
    const lock = { kind: "isolated", by: "B. Tester", lock: "L-7", photo };
    await expect(step(id, { ...lock, photo: "00000000-0000-4000-9000-0000000000ff" })).rejects.toThrow(/not arrived/);
    await expect(step(id, { ...lock, lock: "" })).rejects.toThrow(/lock/);
    await step(id, lock);
    expect([...(await readTransaction(LOCAL_ACTOR, isolatedNow)).keys()]).toEqual(["S001"]);
    await step(id, STEPS.repaired);
    await step(id, { ...STEPS.tested, insulation: "unable" });
    await expect(step(id, STEPS.authorised)).rejects.toThrow(/Tested comes first/);
    await step(id, { ...STEPS.tested, continuity: "fail" });
    await expect(step(id, STEPS.tested)).rejects.toThrow(/Repaired comes first/);
    await step(id, STEPS.repaired);
    await step(id, STEPS.tested);
    await expect(step(id, STEPS.authorised)).rejects.toThrow(/A stop stands: 41 V DC.*low-impedance/);
    await sync("S001", "v1", [lowered("v1")]);
    // A second finding, from the site's own records: another place, so another repair.
    await expect(step(id, STEPS.authorised)).rejects.toThrow(/Still open: 38 V DC.*section:A1 and section:A2/);
    await step(id, { ...STEPS.repaired, sectionId: "A1" });
    await expect(step(id, STEPS.authorised)).rejects.toThrow(/Tested comes first/);
    await step(id, STEPS.tested);
    await expect(step(id, { ...STEPS.authorised, qualified: false })).rejects.toThrow(/qualified/);
    expect(await step(id, STEPS.authorised)).toEqual({ step: "authorised", next: "watched" });
    expect((await readTransaction(LOCAL_ACTOR, isolatedNow)).size).toBe(0);
    expect((await audits(id)).map((a) => a.action)).toEqual([
      ...["make_safe.open", "make_safe.acknowledged", "make_safe.owner_told", "make_safe.isolated"],
      ...["make_safe.repaired", "make_safe.tested", "make_safe.tested", "make_safe.repaired", "make_safe.tested"],
      ...["make_safe.repaired", "make_safe.tested", "make_safe.authorised"],
    ]);
    const repairs = await readTransaction(
      LOCAL_ACTOR,
      (tx) =>
        tx`SELECT section_id, tested_after, confirmed FROM repair
        WHERE site_id = 'S001' AND action = 'jumper fitted' ORDER BY repaired_at`,
    );
    expect([...repairs]).toEqual([
      { section_id: null, tested_after: "none", confirmed: "yes" },
      { section_id: null, tested_after: "both", confirmed: "yes" },
      { section_id: "A1", tested_after: "both", confirmed: "yes" },
    ]);
  });

  test("events cannot be changed by the application, and carry the server's time", async () => {
    const attempt = writeTransaction(LOCAL_ACTOR, async (tx) => {
      await tx`UPDATE make_safe_event SET happened_at = now() - interval '1 day'`;
      return { result: null, note: null };
    });
    await expect(attempt).rejects.toThrow(/permission denied/);
    const backDated = writeTransaction(LOCAL_ACTOR, async (tx) => {
      await tx`INSERT INTO make_safe_event (account_id, make_safe_id, seq, kind, happened_at, done_by, detail)
        SELECT account_id, make_safe_id, 99, 'isolated', now() - interval '1 day', 'A', '{}' FROM make_safe LIMIT 1`;
      return { result: null, note: null };
    });
    await expect(backDated).rejects.toThrow(/permission denied/);
  });

  test("a further hazard throws tested work back to the repair; one during the watch opens a new make_safe", async () => {
    await sync("S002", "v2", [stop("v2")]);
    const id = (await ofSite("S002"))[0]?.makeSafeId ?? "";
    await step(id, STEPS.acknowledged);
    await step(id, STEPS.told);
    await step(id, { kind: "isolated", by: "B. Tester", lock: "L-7", photo: await lockPhoto("S002", id) });
    await step(id, STEPS.repaired);
    await step(id, STEPS.tested);
    await sync("S002", "v2", [stop("v2")]);
    await expect(step(id, STEPS.authorised)).rejects.toThrow(/Repaired comes first/);
    await sync("S002", "v2", [lowered("v2")]);
    await step(id, STEPS.repaired);
    await step(id, STEPS.tested);
    await step(id, STEPS.authorised);
    await sync("S002", "v2", [stop("v2")]);
    const [again, before] = await ofSite("S002");
    expect(before).toMatchObject({ makeSafeId: id, closedAt: expect.any(Number) });
    expect(again).toMatchObject({ closedAt: null, events: [{ kind: "alert" }] });
  });
});

describe("the round of the worker", () => {
  test("after 15 minutes without a name a second alert names who did not answer, and the next person is asked", async () => {
    await saveDuty(LOCAL_ACTOR, {
      people: [
        { name: "D. First", phone: "1" },
        { name: "E. Second", phone: "2" },
      ],
    });
    await sync("S003", "v3", [stop("v3")]);
    const [one] = await ofSite("S003");
    const opened = one?.openedAt ?? 0;
    const escalated = async () => (await alerts()).filter((a) => a.subject.startsWith(`${one?.makeSafeId}/`));
    await round(opened + 14 * MINUTE);
    expect(await escalated()).toEqual([]);
    await round(opened + 16 * MINUTE);
    await round(opened + 16 * MINUTE);
    expect(await escalated()).toMatchObject([{ detail: { unanswered: "D. First", asked: "E. Second" } }]);
    await round(opened + 31 * MINUTE);
    expect((await escalated()).map((a) => a.detail.unanswered)).toEqual(["D. First", "E. Second"]);
    await round(opened + 90 * MINUTE);
    expect(await escalated()).toHaveLength(2);
    const [first] = await escalated();
    await acknowledgeAlert(LOCAL_ACTOR, {
      kind: "make_safe_escalated",
      subject: first?.subject ?? "",
      by: "E. Second",
    });
    expect((await ofSite("S003"))[0]?.events.at(-1)).toMatchObject({ kind: "acknowledged", by: "E. Second" });
    expect((await escalated()).map((a) => a.by)).toEqual(["E. Second", "E. Second"]);
    const again = { kind: "make_safe_escalated" as const, subject: first?.subject ?? "", by: "X" };
    await expect(acknowledgeAlert(LOCAL_ACTOR, again)).rejects.toThrow(/E. Second has it already/);
  });

  test("a site that the queue makes safe gets one; released by hand it needs a name and a reason, and stays released", async () => {
    const note =
      "site_id,inspected_at,check,outcome,note\nS004,2026-10-30,enclosure_dry,fail,owner felt a shock at the rail\n";
    writeFileSync(path.join(data, "inspections.csv"), note);
    await importPaths(LOCAL_ACTOR, [path.join(data, "inspections.csv")]);
    await refreshScores(LOCAL_ACTOR, { now: Date.now() });
    await round();
    const [one] = await ofSite("S004");
    expect(one).toMatchObject({ openedBy: "queue", closedAt: null });
    expect(one?.reason).toContain("shock");
    const id = one?.makeSafeId ?? "";
    await expect(step(id, { kind: "released", by: "", reason: "x" })).rejects.toThrow(/name/);
    await expect(step(id, { kind: "released", by: "A. Tester", reason: " " })).rejects.toThrow(/why/);
    await step(id, { kind: "released", by: "A. Tester", reason: "static from a jacket, measured 0 V" });
    await round();
    const after = await ofSite("S004");
    expect(after).toHaveLength(1);
    expect(after[0]?.closedAt).not.toBe(null);
  });

  test("a stop that stands is not released by hand", async () => {
    const [one] = await ofSite("S003");
    const body = { kind: "released", by: "A. Tester", reason: "no time", licence: "E-1", qualified: true };
    await expect(step(one?.makeSafeId ?? "", body)).rejects.toThrow(/A stop stands/);
  });

  test("who has not checked out by the time they said, and the grace, is alerted once; a check-out ends the looking", async () => {
    const arrived = Date.now();
    const at = (over: Partial<VisitEdit>, minutes = 0) => edit("v9", { ...over, at: arrived + minutes * MINUTE });
    const leave = String(arrived + 60 * MINUTE);
    await sync("S005", "v9", [
      at({ field: "state", value: "arrived" }),
      at({ field: "leave_by", value: leave }),
      at({ field: "state", value: "arrived", by: "B. Tester", device: "phone-b" }),
      at({ field: "leave_by", value: leave, by: "B. Tester", device: "phone-b" }),
      at({ field: "state", value: "checked_out", by: "B. Tester", device: "phone-b" }, 50),
    ]);
    const overdue = async () => (await alerts()).filter((a) => a.kind === "checkout_overdue");
    const look = (minutes: number) => checkOutRound(database(), LOCAL_ACTOR.accountId, arrived + minutes * MINUTE);
    await look(89);
    expect(await overdue()).toEqual([]);
    await look(91);
    await look(95);
    expect(await overdue()).toMatchObject([{ detail: { visitId: "v9", by: "A. Tester", state: "arrived" } }]);
  });
});

describe("isolation and the score", () => {
  test("its hours leave the hours at risk, and the score's input hash sees its beginning and its end", async () => {
    await refreshScores(LOCAL_ACTOR, { now: Date.now() });
    const stale = () => readTransaction(LOCAL_ACTOR, (tx) => staleCount(tx, Date.now()));
    expect(await stale()).toBe(0);
    const hours = async () => {
      const score = (await readScore(LOCAL_ACTOR, { site: "S006" })).sites[0];
      return (score?.weather.wet_hours ?? 0) + (score?.weather.dry_hours ?? 0);
    };
    const before = await hours();
    // Ten days before the end of the log, straight into the table as its owner would.
    await asOwner(async (sql) => {
      await sql`INSERT INTO make_safe (account_id, make_safe_id, site_id, opened_by, reason) VALUES (1, 'm6', 'S006', 'queue', 'x')`;
      await sql`INSERT INTO make_safe_event (account_id, make_safe_id, seq, kind, happened_at, done_by, detail) VALUES
        (1, 'm6', 1, 'isolated', '2026-10-21T00:00:00Z', 'A', '{"lock":"L","photo":"p"}')`;
    });
    expect(await stale()).toBe(1);
    await refreshScores(LOCAL_ACTOR, { now: Date.now() });
    const isolated = await hours();
    expect(isolated).toBeLessThan(before);
    const [left] = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<{ hours: number }[]>`
        SELECT (detail->'excludedUnitHours'->>'isolated')::float8 AS hours FROM site_detail WHERE site_id = 'S006'`,
    );
    // Every whole hour of the days since, for every unit; the log ends within the last of them.
    expect((left?.hours ?? 0) % 1).toBe(0);
    expect(left?.hours ?? 0).toBeGreaterThanOrEqual(10 * 24 - 1);
    await asOwner(async (sql) => {
      await sql`INSERT INTO make_safe_event (account_id, make_safe_id, seq, kind, happened_at, done_by, detail) VALUES
        (1, 'm6', 2, 'authorised', '2026-10-26T00:00:00Z', 'A', '{"licence":"E","qualified":true}')`;
    });
    expect(await stale()).toBe(1);
    await refreshScores(LOCAL_ACTOR, { now: Date.now() });
    const given = await hours();
    expect(given).toBeGreaterThan(isolated);
    expect(given).toBeLessThan(before);
  });
});

describe("the end of a watch", () => {
  /** A site whose repairs are made and, as its newest score has it, held. */
  async function watched(siteId: string, visitId: string): Promise<string> {
    await sync(siteId, visitId, [stop(visitId)]);
    const id = (await ofSite(siteId))[0]?.makeSafeId ?? "";
    await step(id, STEPS.acknowledged);
    await step(id, STEPS.told);
    await step(id, { kind: "isolated", by: "B. Tester", lock: "L-7", photo: await lockPhoto(siteId, id) });
    await sync(siteId, visitId, [lowered(visitId)]);
    await step(id, STEPS.repaired);
    await step(id, STEPS.tested);
    await step(id, STEPS.authorised);
    const fixes = JSON.stringify({ fixes: [{ repairedAt: Date.now(), state: "held" }] });
    await asOwner(async (sql) => {
      await sql`INSERT INTO site_detail (account_id, site_id, input_hash, detail) VALUES (1, ${siteId}, 'test', ${fixes}::text::jsonb)
        ON CONFLICT (account_id, site_id) DO UPDATE SET detail = excluded.detail`;
    });
    return id;
  }
  const ends = async (siteId: string, id: string) =>
    (await ofSite(siteId)).find((m) => m.makeSafeId === id)?.events.filter((e) => e.kind === "watched").length;

  test("is written once by any number of workers at the same moment", async () => {
    const id = await watched("S007", "v7");
    await Promise.all([round(), round(), round(), round()]);
    expect(await ends("S007", id)).toBe(1);
    expect((await audits(id)).filter((a) => a.action === "make_safe.watched")).toHaveLength(1);
    await round();
    expect(await ends("S007", id)).toBe(1);
  });

  test("is not written over a hazard that came in between seeing and ending it", async () => {
    const id = await watched("S007", "v7-again");
    let ending: Promise<void> | null = null;
    await asOwner(async (sql) => {
      // Somebody's step has the site; the worker has seen the watch and waits for it.
      await sql`SELECT pg_advisory_xact_lock(hashtextextended('make_safe/1/S007', 0))`;
      ending = round();
      const waits = () => sql`SELECT 1 FROM pg_locks WHERE locktype = 'advisory' AND NOT granted
        AND database = (SELECT oid FROM pg_database WHERE datname = current_database())`;
      while ((await waits()).length === 0) await new Promise((resolve) => setImmediate(resolve));
      await sql`UPDATE make_safe SET closed_at = clock_timestamp() WHERE make_safe_id = ${id}`;
    });
    await ending;
    expect(await ends("S007", id)).toBe(0);
  });
});
