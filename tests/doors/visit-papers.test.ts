import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import sharp from "sharp";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { bothIn, type Units } from "../../lib/core/units.ts";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { checklistSheet } from "../../lib/reads/checklist-sheet.ts";
import { readVisit } from "../../lib/reads/visit.ts";
import { readChecklistSheet, readVisitReport, readWrittenVisits, visitPaper } from "../../lib/reads/visit-papers.ts";
import { readVisits } from "../../lib/reads/visits.ts";
import { drawVisitSheet } from "../../lib/report/draw-visit-sheet.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import type { VisitEdit } from "../../lib/visit/visit-edits.ts";
import { type EnteredReading, itemKey, WHOLE_VISIT } from "../../lib/visit/visit-records.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { syncVisit } from "../../lib/writes/sync-visit.ts";
import { keepVisitPhoto } from "../../lib/writes/visit-photo.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { pdfPages } from "../support/pdf-text.ts";
import { useTestDatabase } from "../support/test-database.ts";

useTestDatabase();
const NOW = Date.UTC(2026, 10, 3);
let data = "";
let visitId = "";
let siteId = "";
beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-papers-"));
  process.env.RAINTRIP_DATA = data;
  const folder = path.join(data, "drop");
  await writeDemoDrop(folder, { seed: "demo", sites: 12, days: 400, endDay: "2026-10-31" });
  await importPaths(LOCAL_ACTOR, [folder]);
  await refreshScores(LOCAL_ACTOR, { now: NOW });
  const queued = (await readVisits(LOCAL_ACTOR)).visits;
  const views = await Promise.all(queued.map((visit) => readVisit(LOCAL_ACTOR, visit.visit_id)));
  const first = views.find((view) => view?.site.necEdition)?.visit;
  if (!first) throw new Error("the demo has a visit to a site with a code edition in its queue");
  visitId = first.visit_id;
  siteId = first.site_id;
});
afterAll(() => {
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

const solid = (text: string) => text.replace(/\s+/g, "");
const AT = Date.UTC(2026, 10, 2, 15);
let n = 0;
function edit(over: Partial<VisitEdit>): VisitEdit {
  n++;
  return {
    ...{ edit_id: `00000000-0000-4000-8000-${String(n).padStart(12, "0")}`, visit_id: visitId, item: WHOLE_VISIT },
    ...{ field: "note", value: "x", at: AT + n * 1000, by: "Zoë Łukasz", device: "phone-a", seq: n },
    ...over,
  };
}

describe("readChecklistSheet", () => {
  test("the print of a queued visit holds every check of the page, ten a page, with edition and cautions", async () => {
    const view = await readVisit(LOCAL_ACTOR, visitId);
    const sheet = await readChecklistSheet(LOCAL_ACTOR, visitId, NOW);
    const pages = await pdfPages(await drawVisitSheet(sheet));
    const asked = view?.visit.checklist ?? [];
    expect(asked.length).toBeGreaterThan(10);
    const checkPages = pages.filter((page) => /^Checks \d+ to/.test(page.body));
    expect(checkPages.length).toBe(Math.ceil(asked.length / 10));
    expect(checkPages.some((page) => page.body.includes("continued"))).toBe(false);
    const text = solid(pages.map((page) => page.body).join(""));
    for (const item of asked)
      for (const words of [bothIn("metric", item.says), bothIn("metric", item.accept), item.code_reference ?? ""])
        expect(text).toContain(solid(words));
    expect(text).toContain(solid(`NEC ${view?.site.necEdition}`));
    expect(text).toContain(solid("Prove absence live-dead-live"));
    for (const page of checkPages) expect(page.body).toContain("Treat all metal as live.");
    for (const page of pages) expect(page.foot).toContain(`code edition NEC ${view?.site.necEdition}`);
  });

  test("is in the units of who asks; a code's own figures stay as stated, with the reader's in brackets", async () => {
    const view = await readVisit(LOCAL_ACTOR, visitId);
    const [item] = view?.visit.checklist ?? [];
    if (!view || !item) throw new Error("the visit has a checklist");
    const rod = { ...item, check: "electrode_depth" as const, accept: "A rod has at least 8 ft in contact with soil." };
    const asked = { ...view, visit: { ...view.visit, reasons: ["The station is 12 km away."], checklist: [rod] } };
    const textIn = async (units: Units) =>
      (await pdfPages(await drawVisitSheet(checklistSheet(asked, NOW, units)))).map((page) => page.body).join(" ");
    // 8 ft is 2.4384 m, 12 km are 7.456 miles (NIST SP 811, appendix B.8).
    const metric = await textIn("metric");
    expect(metric).toContain("8 ft (2.44 m) in contact");
    expect(metric).toContain("12 km away");
    const us = await textIn("us");
    expect(us).toContain("8 ft in contact");
    expect(us).toContain("7 mi away");
  });

  test("a visit that is not in the queue has no checklist, and nothing written is no report", async () => {
    await expect(readChecklistSheet(LOCAL_ACTOR, "nope", NOW)).rejects.toMatchObject({ code: "not_found" });
    await expect(readVisitReport(LOCAL_ACTOR, visitId, NOW)).rejects.toMatchObject({ code: "not_found" });
    expect(await readWrittenVisits(LOCAL_ACTOR, siteId)).toEqual([]);
  });
});

describe("readVisitReport", () => {
  test("readings with instrument and calibration, signature with licence and zone, photos: read back from the PDF, also when the visit has left the queue", async () => {
    const asked = (await readVisit(LOCAL_ACTOR, visitId))?.visit.checklist ?? [];
    const volt = asked.find((item) => item.unit === "volt" && item.section_id);
    if (!volt) throw new Error("a checklist begins with voltages");
    const item = itemKey(volt.check, volt.section_id, volt.inverter_id);
    const reading: EnteredReading = {
      ...{ text: "0,4", unit: "volt", quantity: "dc", meter: "high", method: null, licence: "L-7" },
      ...{ pointA: `section:${volt.section_id}`, pointB: "ground_bus", qualified: true },
      ...{ instrument: "MM-1234", calibratedOn: "2026-02-03" },
    };
    const depth: EnteredReading = { ...reading, text: "8", unit: "foot", quantity: null, pointA: null, pointB: null };
    const rod = itemKey("electrode_depth", null, null);
    const edits = [
      edit({ field: "state", value: "arrived" }),
      edit({ item: rod, field: "reading", value: JSON.stringify(depth) }),
      edit({ item, field: "reading", value: JSON.stringify(reading) }),
      edit({ item, field: "outcome", value: "pass" }),
      edit({ item, field: "outcome", value: "fail", by: "B. Other", device: "phone-b" }),
      edit({ field: "cause", value: "open_section_bond" }),
      edit({ field: "action", value: "Jumper fitted beside the open one." }),
      edit({ field: "signed", value: "Zoë Łukasz, L-7" }),
    ];
    const late = edit({ item, field: "note", value: "Written after the signature." });
    await syncVisit(LOCAL_ACTOR, { visitId, siteId, edits });
    const jpeg = await sharp({ create: { width: 80, height: 60, channels: 3, background: "#884422" } })
      .jpeg()
      .toBuffer();
    const photo_id = "00000000-0000-4000-9000-000000000001";
    const query = {
      photo_id,
      visit_id: visitId,
      site_id: siteId,
      item,
      taken_at: AT,
      latitude: 40.1,
      longitude: -74.2,
    };
    await keepVisitPhoto(LOCAL_ACTOR, query, new Request("http://x/", { method: "POST", body: new Uint8Array(jpeg) }));
    await refreshScores(LOCAL_ACTOR, { now: NOW });
    expect(await readVisit(LOCAL_ACTOR, visitId)).toMatchObject({ closed: true, visit: { rank: null } });
    await syncVisit(LOCAL_ACTOR, { visitId, siteId, edits: [late] });

    const sheet = await readVisitReport(LOCAL_ACTOR, visitId, NOW);
    const more = asked.some((one) => itemKey(one.check, one.section_id, one.inverter_id) === rod) ? 0 : 1;
    expect(sheet.checks.length).toBe(asked.length + more);
    expect(sheet.photos[0]?.jpeg).not.toBeNull();
    const response = await visitPaper(LOCAL_ACTOR, "report", visitId, NOW);
    expect(response.headers.get("content-type")).toBe("application/pdf");
    const pages = await pdfPages(new Uint8Array(await response.arrayBuffer()));
    expect(pages.filter((page) => /^Checks \d+ to/.test(page.body)).length).toBe(Math.ceil((asked.length + more) / 10));
    const text = solid(pages.map((page) => page.body).join(""));
    for (const check of sheet.checks) {
      expect(text).toContain(solid(check.title));
      if (check.answer.kind === "found")
        for (const line of [check.answer.outcome, ...check.answer.lines]) expect(text).toContain(solid(line));
    }
    const zone = sheet.facts.map(([, value]) => value).join(" ");
    for (const words of [
      "instrument MM-1234, calibrated on 2026-02-03",
      "fail (B. Other), pass (Zoë Łukasz); the worse one counts",
      "nothing written, a gap and not a pass",
      "Cause found: open section bond.",
      "Signed by Zoë Łukasz, licence L-7, 2026-11-02T",
      "Signed before the last change",
      "Jumper fitted beside the open one.",
      "arrived",
      // 8 ft is 2.4384 m (NIST SP 811, appendix B.8); who made it reads metric.
      "Reading 8 ft (2.44 m)",
      "at 40.10000, -74.20000",
    ])
      expect(text).toContain(solid(words));
    expect(zone).toMatch(/\w+\/\w+/);
    const written = await readWrittenVisits(LOCAL_ACTOR, siteId);
    expect(written).toMatchObject([{ visitId, siteId, signed: true, entries: edits.length + 1 }]);
  });
});
