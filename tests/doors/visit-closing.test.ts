import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { readAlerts } from "../../lib/reads/alerts.ts";
import { readSiteMakeSafe } from "../../lib/reads/make-safe.ts";
import { readRankedSites } from "../../lib/reads/ranked-sites.ts";
import { RankedSitesQuery } from "../../lib/reads/ranked-sites-query.ts";
import { readSite } from "../../lib/reads/site.ts";
import { readVisit } from "../../lib/reads/visit.ts";
import { readVisitPhoto } from "../../lib/reads/visit-photo.ts";
import { readVisits } from "../../lib/reads/visits.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction, systemTransaction, writeTransaction } from "../../lib/store/transaction.ts";
import { resolutionField } from "../../lib/visit/resolution.ts";
import { recordDigest, signatureValue } from "../../lib/visit/signature.ts";
import type { VisitEdit } from "../../lib/visit/visit-edits.ts";
import { itemKey, WHOLE_VISIT } from "../../lib/visit/visit-records.ts";
import { acknowledgeAlert } from "../../lib/writes/alerts.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { syncVisit } from "../../lib/writes/sync-visit.ts";
import { keepVisitPhoto, setPhotoPlace } from "../../lib/writes/visit-photo.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { useTestDatabase } from "../support/test-database.ts";

useTestDatabase();
let data = "";
beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-closing-"));
  process.env.RAINTRIP_DATA = data;
  const folder = path.join(data, "drop");
  await writeDemoDrop(folder, { seed: "demo", sites: 6, days: 60, endDay: "2026-10-31" });
  await importPaths(LOCAL_ACTOR, [folder]);
  await refreshScores(LOCAL_ACTOR, { now: Date.now() });
});
afterAll(() => {
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

const AT = Date.UTC(2026, 10, 2, 9);
let n = 0;
function edit(visitId: string, over: Partial<VisitEdit>): VisitEdit {
  n++;
  return {
    ...{ edit_id: `00000000-0000-4000-8000-${String(n).padStart(12, "0")}`, visit_id: visitId, item: WHOLE_VISIT },
    ...{ field: "note", value: "x", at: AT + n * 1000, by: "A. Tester", device: "phone-a", seq: n },
    ...over,
  };
}
const sign = (visitId: string, over: readonly VisitEdit[]) =>
  edit(visitId, {
    field: "signed",
    value: signatureValue({ name: "A. Tester", licence: "L-1", over: recordDigest(over) }),
  });
const volts = (text: string, over: object = {}) =>
  JSON.stringify({
    ...{ text, unit: "volt", quantity: "dc", meter: "high", method: null, licence: "L-1" },
    ...{ pointA: "ground_bus", pointB: "electrode", ...over },
  });
const sync = (siteId: string, visitId: string, edits: VisitEdit[]) =>
  syncVisit(LOCAL_ACTOR, { visitId, siteId, edits });
const status = async (visitId: string) =>
  (
    await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<{ status: string }[]>`SELECT status FROM visit WHERE visit_id = ${visitId}`,
    )
  )[0]?.status ?? null;
const photo = (n: number) => `00000000-0000-4000-9000-${String(n).padStart(12, "0")}`;
const send = (query: object, bytes: Uint8Array) =>
  keepVisitPhoto(
    LOCAL_ACTOR,
    { visit_id: "v1", site_id: "S001", item: DRY, ...query } as never,
    new Request("http://x/", { method: "POST", body: bytes as never }),
  );
const DRY = itemKey("enclosure_dry", null, null);
const POTENTIAL = itemKey("section_potential", null, null);
const JPEG = Uint8Array.from([0xff, 0xd8, 0xff, 0xe1, 0, 6, 71, 80, 83, 33, 0xff, 0xda, 1, 0xff, 0xd9]);

describe("a sign-off", () => {
  test("while a stop stands keeps the signature and makes records, but does not close; lowered and signed again it does", async () => {
    const stop = edit("c1", { item: POTENTIAL, field: "reading", value: volts("41") });
    const dry = edit("c1", { item: DRY, field: "outcome", value: "pass" });
    const signed = sign("c1", [stop, dry]);
    const first = await sync("S001", "c1", [stop, dry, signed]);
    expect(first.whyOpen).toMatch(/^Not closed: a stop stands. 41 V DC/);
    expect(await status("c1")).toBe(null);
    const rows = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx`SELECT "check", outcome FROM inspection WHERE site_id = 'S001' AND inspector = 'A. Tester' ORDER BY 1`,
    );
    expect([...rows]).toEqual([
      { check: "enclosure_dry", outcome: "pass" },
      { check: "section_potential", outcome: "fail" },
    ]);
    expect((await readVisits(LOCAL_ACTOR)).unclosed).toMatchObject([{ visitId: "c1", why: first.whyOpen }]);
    // Another visit of the same site does not close either.
    const other = [edit("c2", { item: DRY, field: "outcome", value: "pass" })];
    expect((await sync("S001", "c2", [...other, sign("c2", other)])).whyOpen).toMatch(/a stop stands/);

    const low = edit("c1", {
      item: POTENTIAL,
      field: "reading",
      value: volts("1", { meter: "low", qualified: true }),
    });
    expect((await sync("S001", "c1", [low])).whyOpen).toMatch(/^Signed before the last change/);
    expect(await status("c1")).toBe(null);
    expect((await sync("S001", "c1", [sign("c1", [stop, dry, low])])).whyOpen).toBe(null);
    expect(await status("c1")).toBe("done");
  });

  test("waits for another visit of its site that is being written down, and sees the stop in it", async () => {
    const mine = [edit("c8", { item: DRY, field: "outcome", value: "pass" })];
    const stop = edit("c9", { item: POTENTIAL, field: "reading", value: volts("52") });
    const other = { ...stop, written_at: new Date(stop.at), written_by: stop.by };
    const waiting = () =>
      readTransaction(LOCAL_ACTOR, (tx) => tx`SELECT 1 FROM pg_locks WHERE locktype = 'advisory' AND NOT granted`);
    let signing: Promise<{ whyOpen: string | null }> | undefined;
    await systemTransaction(LOCAL_ACTOR, async (tx) => {
      await tx`SELECT pg_advisory_xact_lock(hashtextextended('site_visits/1/S005', 0))`;
      await tx`INSERT INTO visit_edit (account_id, edit_id, visit_id, site_id, item, field, value, written_at, written_by, device, seq)
        VALUES (1, ${other.edit_id}, 'c9', 'S005', ${other.item}, 'reading', ${other.value}, ${other.written_at},
          ${other.written_by}, ${other.device}, ${other.seq})`;
      signing = sync("S005", "c8", [...mine, sign("c8", mine)]);
      await vi.waitFor(async () => expect(await waiting()).toHaveLength(1), { timeout: 60_000, interval: 20 });
    });
    expect((await signing)?.whyOpen).toMatch(/^Not closed: a stop stands. 52 V DC/);
    expect(await status("c8")).toBe(null);
  });

  test("is one before the last change when another phone's edit comes late: the visit opens again and loses nothing", async () => {
    const mine = [edit("c3", { item: DRY, field: "outcome", value: "pass" })];
    await sync("S002", "c3", [...mine, sign("c3", mine)]);
    expect(await status("c3")).toBe("done");
    const late = edit("c3", { item: DRY, field: "outcome", value: "fail", by: "B. Tester", device: "phone-b", at: AT });
    const said = await sync("S002", "c3", [late]);
    expect(said.whyOpen).toMatch(/^Signed before the last change: A. Tester, L-1/);
    expect(said.edits).toHaveLength(3);
    expect(await status("c3")).toBe("planned");
    expect(said.conflicts).toMatchObject([{ item: DRY, field: "outcome" }]);
    const view = await readVisit(LOCAL_ACTOR, "c3");
    expect(view).toMatchObject({ closed: false, visit: { rank: null, site_id: "S002" } });
    expect(view?.visit.checklist.map((item) => item.check)).toContain("enclosure_dry");
    expect(view?.story[1]).toMatch(/^Diagnosis: bonding or grounding defect [<>0-9.]+ \([<>0-9.]+ to [<>0-9.]+\)/);
  });

  test("a conflict that a qualified person decided becomes one record under their name", async () => {
    const among = [
      { by: "A. Tester", value: "pass" },
      { by: "B. Tester", value: "fail" },
    ];
    const value = JSON.stringify({
      value: "pass",
      among,
      licence: "E-1",
      qualified: true,
      reason: "both looked again",
    });
    const word = edit("c3", {
      item: DRY,
      field: resolutionField("outcome"),
      value,
      by: "C. Tester",
      device: "phone-c",
    });
    expect((await sync("S002", "c3", [word])).conflicts).toEqual([]);
    const rows = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx`SELECT outcome, inspector, inspector_licence FROM inspection
        WHERE site_id = 'S002' AND "check" = 'enclosure_dry' AND inspected_at = ${new Date(AT)}`,
    );
    expect([...rows]).toEqual([{ outcome: "pass", inspector: "C. Tester", inspector_licence: "E-1" }]);
  });

  test("what was written at a section that is gone is kept and shown, and named as not taken", async () => {
    const gone = itemKey("bond_resistance", "no-such-section", null);
    const mine = [edit("c4", { item: gone, field: "outcome", value: "fail" })];
    const said = await sync("S003", "c4", [...mine, sign("c4", mine)]);
    expect(said.notTaken).toMatchObject([{ column: "section_id", value: "no-such-section" }]);
    expect((await readVisit(LOCAL_ACTOR, "c4"))?.gone).toEqual([gone]);
  });
});

describe("photos of a visit", () => {
  test("are named in the record of their item, also when they come after it, and seen only by their account", async () => {
    const mine = [edit("c5", { item: DRY, field: "outcome", value: "pass" })];
    await sync("S004", "c5", [...mine, sign("c5", mine)]);
    const query = { visit_id: "c5", site_id: "S004", item: DRY };
    await send({ ...query, photo_id: photo(1), taken_at: AT, latitude: 1, longitude: 2 }, JPEG);
    await send({ ...query, photo_id: photo(2) }, JPEG);
    const [row] = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<{ photo: string }[]>`SELECT photo FROM inspection WHERE site_id = 'S004' AND inspector = 'A. Tester'`,
    );
    expect(row?.photo).toBe(`${photo(1)};${photo(2)}`);
    expect((await readSite(LOCAL_ACTOR, "S004"))?.photos).toMatchObject([
      { photoId: photo(1), position: { latitude: 1, longitude: 2 } },
      { photoId: photo(2), takenAt: null, position: null },
    ]);
    const reply = await readVisitPhoto(LOCAL_ACTOR, photo(1));
    expect(new Uint8Array(await reply.arrayBuffer())).toEqual(JPEG);
    expect(reply.headers.get("content-type")).toBe("image/jpeg");
    expect(reply.headers.get("x-content-type-options")).toBe("nosniff");
    const stranger = { ...LOCAL_ACTOR, accountId: 2 };
    await expect(readVisitPhoto(stranger, photo(1))).rejects.toThrow(/no such photo/);
    await expect(readVisitPhoto(LOCAL_ACTOR, "../../etc/passwd")).rejects.toThrow(/no such photo/);
  });

  test("lose time and position, also in the file, where the account says so", async () => {
    await setPhotoPlace(LOCAL_ACTOR, { photoPlace: "strip" });
    const query = { visit_id: "c5", site_id: "S004", item: DRY, taken_at: AT, latitude: 1, longitude: 2 };
    await send({ ...query, photo_id: photo(3) }, JPEG);
    const kept = (await readSite(LOCAL_ACTOR, "S004"))?.photos.find((one) => one.photoId === photo(3));
    expect(kept).toMatchObject({ takenAt: null, position: null });
    const file = Buffer.from(await (await readVisitPhoto(LOCAL_ACTOR, photo(3))).arrayBuffer());
    expect(file.includes("GPS")).toBe(false);
    await setPhotoPlace(LOCAL_ACTOR, { photoPlace: "keep" });
  });

  test("a file whose bytes were changed on the disk is not given out", async () => {
    const { writeFileSync, readdirSync } = await import("node:fs");
    const folder = path.join(data, "visit-photos");
    for (const name of readdirSync(folder)) writeFileSync(path.join(folder, name), "<script>");
    await expect(readVisitPhoto(LOCAL_ACTOR, photo(1))).rejects.toThrow(/not on this machine/);
  });
});

describe("alerts and emergencies on screen", () => {
  test("unacknowledged first, taken by name once, and never deleted", async () => {
    const before = await readAlerts(LOCAL_ACTOR);
    expect(before.waiting).toBeGreaterThanOrEqual(2);
    expect(before.alerts.every((alert) => alert.acknowledgedBy === null)).toBe(true);
    const stop = before.alerts.find((alert) => alert.kind === "stop_reading");
    expect(stop?.says).toContain("41 V DC");
    await acknowledgeAlert(LOCAL_ACTOR, { kind: "stop_reading", subject: stop?.subject ?? "", by: "D. Tester" });
    const after = await readAlerts(LOCAL_ACTOR);
    expect(after.alerts).toHaveLength(before.alerts.length);
    expect(after.alerts.filter((alert) => alert.siteId === "S001").map((alert) => alert.acknowledgedBy)).toEqual(
      before.alerts.filter((alert) => alert.siteId === "S001").map(() => "D. Tester"),
    );
    expect((await readSiteMakeSafe(LOCAL_ACTOR, "S001"))?.open).toMatchObject({
      hasIt: "D. Tester",
      next: "owner_told",
    });
    const ranked = await readRankedSites(LOCAL_ACTOR, RankedSitesQuery.parse({}));
    expect(ranked.openMakeSafes).toMatchObject({
      total: 1,
      left: 0,
      next: null,
      shown: [{ siteId: "S001", hasIt: "D. Tester" }],
    });
    expect(ranked.rowMakeSafes).toMatchObject([{ siteId: "S001", hasIt: "D. Tester" }]);
    const gone = writeTransaction(LOCAL_ACTOR, async (tx) => {
      await tx`DELETE FROM outbox_alert`;
      return { result: null, note: null };
    });
    await expect(gone).rejects.toThrow(/permission denied/);
  });

  test("who is on site is listed, with the overdue first", async () => {
    const now = Date.now();
    const state = (by: string, hoursAgo: number) =>
      edit("c6", { field: "state", value: "arrived", by, device: by, at: now - hoursAgo * 3_600_000 });
    await sync("S005", "c6", [state("A. Tester", 0.1), state("B. Tester", 30)]);
    expect((await readVisits(LOCAL_ACTOR)).onSite).toMatchObject([
      { by: "B. Tester", overdue: true, visitId: "c6" },
      { by: "A. Tester", overdue: false },
    ]);
  });
});
