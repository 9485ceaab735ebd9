import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import type { VisitEdit } from "../../lib/visit/visit-edits.ts";
import { itemKey, WHOLE_VISIT } from "../../lib/visit/visit-records.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { syncVisit } from "../../lib/writes/sync-visit.ts";
import { keepVisitPhoto } from "../../lib/writes/visit-photo.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { useTestDatabase } from "../support/test-database.ts";

useTestDatabase();
const SITE = "S001";
let data = "";
beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-visit-"));
  process.env.RAINTRIP_DATA = data;
  const folder = path.join(data, "drop");
  await writeDemoDrop(folder, { seed: "demo", sites: 3, days: 60, endDay: "2026-10-31" });
  await importPaths(LOCAL_ACTOR, [folder]);
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
const reading = (text: string, unit: string, quantity: string | null, over: object = {}) =>
  JSON.stringify({
    ...{ text, unit, quantity, meter: "high", method: null, pointA: null, pointB: null, licence: "L-1", ...over },
  });
const sync = (visitId: string, edits: VisitEdit[]) => syncVisit(LOCAL_ACTOR, { visitId, siteId: SITE, edits });
const inspections = (since: number) =>
  readTransaction(
    LOCAL_ACTOR,
    (tx) => tx<{ check: string; outcome: string; value: string | null; inspector: string }[]>`
      SELECT "check", outcome, value, inspector FROM inspection
      WHERE site_id = ${SITE} AND inspected_at >= ${new Date(since)} AND inspector LIKE '%Tester' ORDER BY "check", value`,
  );
const revision = async () =>
  (
    await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<{ revision: string }[]>`SELECT revision FROM site WHERE site_id = ${SITE}`,
    )
  )[0]?.revision;

const bond = itemKey("bond_resistance", null, null);
const dry = itemKey("enclosure_dry", null, null);
const volts = itemKey("section_potential", null, null);

describe("syncVisit", () => {
  test("a signed visit becomes inspections and a repair once, sent twice and out of order", async () => {
    const edits = [
      edit("v1", { item: bond, field: "reading", value: reading("0.05", "ohm", null) }),
      edit("v1", { item: bond, field: "outcome", value: "pass" }),
      edit("v1", { item: dry, field: "outcome", value: "fail" }),
      edit("v1", { field: "cause", value: "connector_ingress" }),
      edit("v1", { field: "action", value: "connector replaced" }),
      edit("v1", { field: "confirmed", value: "yes" }),
      edit("v1", { field: "signed", value: "A. Tester, L-1" }),
    ];
    const first = edits[0]?.at ?? 0;
    const before = await revision();
    await sync("v1", edits.slice(3).reverse());
    await sync("v1", edits.slice(0, 4));
    const again = await sync("v1", edits);
    expect(again).toMatchObject({ notTaken: [], conflicts: [], stopStands: false });
    expect(again.edits).toHaveLength(edits.length);
    expect(await inspections(first)).toEqual([
      { check: "bond_resistance", outcome: "pass", value: "0.05", inspector: "A. Tester" },
      { check: "enclosure_dry", outcome: "fail", value: null, inspector: "A. Tester" },
    ]);
    const repairs = await readTransaction(
      LOCAL_ACTOR,
      (tx) =>
        tx`SELECT cause, action, confirmed, tested_after FROM repair WHERE site_id = ${SITE} AND repaired_at >= ${new Date(first)}`,
    );
    expect([...repairs]).toEqual([
      { cause: "connector_ingress", action: "connector replaced", confirmed: "yes", tested_after: "none" },
    ]);
    expect(Number(await revision())).toBeGreaterThan(Number(before));
    const after = await revision();
    await sync("v1", edits);
    expect(await revision()).toBe(after);
    const audits = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx`SELECT 1 FROM audit_entry WHERE action = 'visit.sync' AND subject = 'v1'`,
    );
    expect(audits).toHaveLength(2);
  });

  test("nothing but a stop becomes a record before the visit is signed, and a stop does at once, with one alert", async () => {
    const points = { pointA: "ground_bus", pointB: "electrode" };
    const stop = edit("v2", { item: volts, field: "reading", value: reading("31", "volt", "dc", points) });
    const other = edit("v2", { item: dry, field: "outcome", value: "pass" });
    await sync("v2", [stop, other]);
    const again = await sync("v2", [stop]);
    expect(again.stopStands).toBe(true);
    expect(await inspections(stop.at)).toEqual([
      { check: "section_potential", outcome: "fail", value: "31", inspector: "A. Tester" },
    ]);
    const alerts = () =>
      readTransaction(LOCAL_ACTOR, (tx) => tx`SELECT acknowledged_by FROM outbox_alert WHERE kind = 'stop_reading'`);
    expect(await alerts()).toHaveLength(1);
    const lowered = async (over: object, by = "A. Tester") => {
      const value = reading("2", "volt", "dc", { ...points, meter: "low", qualified: true, ...over });
      return !(await sync("v2", [edit("v2", { item: volts, field: "reading", value, by })])).stopStands;
    };
    expect(await lowered({ meter: "high" }, "B. Tester")).toBe(false);
    expect(await lowered({ qualified: false })).toBe(false);
    expect(await lowered({}, "not named")).toBe(false);
    expect(await lowered({ pointB: "earth" })).toBe(false);
    expect(await lowered({})).toBe(true);
    expect(await alerts()).toHaveLength(1);
  });

  test("two people's outcomes are both kept as a conflict, and the worse one becomes the record", async () => {
    const a = edit("v3", { item: dry, field: "outcome", value: "pass" });
    const b = edit("v3", { item: dry, field: "outcome", value: "fail", by: "B. Tester", device: "phone-b" });
    await sync("v3", [b]);
    const both = await sync("v3", [a, edit("v3", { field: "signed", value: "A. Tester, L-1" })]);
    expect(both.conflicts).toEqual([expect.objectContaining({ item: dry, field: "outcome" })]);
    expect(both.conflicts[0]?.values.map((one) => one.value)).toEqual(["pass", "fail"]);
    expect(await inspections(a.at)).toEqual([
      { check: "enclosure_dry", outcome: "fail", value: null, inspector: "B. Tester" },
    ]);
  });

  test("AC and DC that one person reads at one line are both inspections", async () => {
    const ac = edit("v4", { item: volts, field: "reading", value: reading("0.4", "volt", "ac_rms") });
    const dc = edit("v4", { item: volts, field: "reading", value: reading("0.6", "volt", "dc") });
    await sync("v4", [ac, dc, edit("v4", { field: "signed", value: "A. Tester, L-1" })]);
    expect((await inspections(ac.at)).map((row) => row.value)).toEqual(["0.4", "0.6"]);
  });

  test("a row that cannot become a record is named, again when the same edits are sent again", async () => {
    const value = reading("0.4", "volt", "dc", { pointA: "somewhere" });
    const edits = [
      edit("v5", { item: volts, field: "reading", value }),
      edit("v5", { field: "signed", value: "A. Tester, L-1" }),
    ];
    const first = await sync("v5", edits);
    expect(first.notTaken).toEqual([expect.objectContaining({ column: "point_a", value: "somewhere" })]);
    expect((await sync("v5", edits)).notTaken).toEqual(first.notTaken);
  });

  test("a visit of one site cannot be written to another, nor to a site that is not there", async () => {
    await expect(syncVisit(LOCAL_ACTOR, { visitId: "v1", siteId: "S002", edits: [] })).rejects.toThrow(/another site/);
    await expect(syncVisit(LOCAL_ACTOR, { visitId: "v9", siteId: "none", edits: [] })).rejects.toThrow(/no site/);
  });
});

describe("keepVisitPhoto", () => {
  const query = { photo_id: "00000000-0000-4000-9000-000000000001", visit_id: "v1", site_id: SITE, item: dry };
  const send = (bytes: Uint8Array, headers = {}) =>
    keepVisitPhoto(LOCAL_ACTOR, query, new Request("http://x/", { method: "POST", body: bytes as never, headers }));
  test("a picture is kept once, by what it is and not by what it is called", async () => {
    const jpeg = Uint8Array.from([0xff, 0xd8, 0xff, 0xe0, 1, 2, 3]);
    await send(jpeg);
    await send(jpeg);
    const rows = await readTransaction(LOCAL_ACTOR, (tx) => tx`SELECT media_type, bytes FROM visit_photo`);
    expect([...rows]).toEqual([{ media_type: "image/jpeg", bytes: 7 }]);
    await expect(send(new TextEncoder().encode("<svg/>"), { "content-type": "image/jpeg" })).rejects.toThrow(
      /not a JPEG/,
    );
  });
  test("a photo of 40 MB is refused with its size and what to do", async () => {
    await expect(send(new Uint8Array(40_000_000))).rejects.toThrow(/at most 10 MB/);
  });
});
