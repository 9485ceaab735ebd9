import { describe, expect, test } from "vitest";
import { evidenceDocument } from "../../../lib/reads/evidence-document.ts";
import { evidenceFacts } from "../../../lib/reads/evidence-facts.ts";
import { readerUnits } from "../../../lib/reads/reader-units.ts";
import { readScore } from "../../../lib/reads/score.ts";
import { drawReport } from "../../../lib/report/draw-report.ts";
import { printable } from "../../../lib/report/printable.ts";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { readTransaction } from "../../../lib/store/transaction.ts";
import { setOwnUnits } from "../../../lib/writes/own-units.ts";
import { pdfPages } from "../../support/pdf-text.ts";
import { document, inFolder, NOW, siteId } from "./scene.ts";

describe("evidence.pdf", () => {
  const solid = (text: string) => text.replace(/\s+/g, "");

  test("holds every word of the view model, in its order, as another reader finds it", async () => {
    const pages = await pdfPages(inFolder("evidence.pdf"));
    const text = solid(pages.map((p) => p.body).join(""));
    const letters = (words: string) => solid(printable(words, (code) => code < 0x7f));
    const drawn = letters(text);
    let from = 0;
    const next = (words: string) => {
      const at = drawn.indexOf(letters(words), from);
      expect(at, words).toBeGreaterThanOrEqual(from);
      from = at;
    };
    next(document.title);
    next(document.subtitle);
    for (const [label, value] of document.facts) next(label + value);
    for (const section of document.sections) {
      next(section.heading);
      for (const paragraph of section.paragraphs) next(paragraph);
      for (const row of section.table?.rows ?? []) for (const cell of row) next(cell);
      for (const paragraph of section.after ?? []) next(paragraph);
    }
    for (const page of pages) expect(page.foot).toContain(document.footer);
  });

  test("gives the score's own numbers with interval and decibans, its gaps, the zone and the clocks", async () => {
    const { sites } = await readScore(LOCAL_ACTOR, { site: siteId });
    const [score] = sites;
    if (!score) throw new Error("the site has no score");
    const text = (await pdfPages(inFolder("evidence.pdf")))
      .map((p) => p.body)
      .join(" ")
      .replace(/\s+/g, " ");
    const percent = (p: number) => (p >= 0.995 ? "over 99 %" : p < 0.005 ? "under 1 %" : `${Math.round(p * 100)} %`);
    const { p, low, high } = score.bonding_defect;
    expect(text).toContain(`present: ${percent(p)} (${percent(low)} to ${percent(high)})`);
    for (const e of score.evidence) expect(text).toContain(`${e.decibans.toFixed(1)} ${e.source}`);
    for (const g of score.gaps) expect(solid(text), g.what).toContain(solid(printable(g.says, (code) => code < 0x7f)));
    expect(text).toMatch(/local to the site \([A-Z]\w+\/\w+\) with their offset from UTC; times in the lists are UTC/);
    expect(text).toMatch(/Log (site|log)\/\S+: used as logged/);
    expect(text).toContain("MX-7, 2026-01-15");
    expect(text).toContain("[U+");
  });

  test("states an accepted correction of a clock with who accepted it and why, and an open proposal as open", async () => {
    const facts = await readTransaction(LOCAL_ACTOR, (tx) => evidenceFacts(tx, siteId, NOW));
    if (!facts) throw new Error("the site has no score");
    const correction = { offsetHours: 5, summerHours: 1, acceptedBy: "local", acceptedAt: NOW, reason: "set to UTC" };
    const clocks = [
      { source: "log/G", correction, proposal: null, tested: true },
      { source: "log/H", correction: null, proposal: { offsetHours: -1, summerHours: 0 }, tested: true },
    ];
    const pages = await pdfPages(await drawReport(evidenceDocument({ ...facts, clocks }, NOW)));
    const text = pages
      .map((p) => p.body)
      .join(" ")
      .replace(/\s+/g, " ");
    expect(text).toContain(
      "Log log/G: its clock ran ahead by 5 h and 1 h more in summer time, accepted by local on 2026-11-19 (set to UTC).",
    );
    expect(text).toContain("Log log/H: used as logged. A correction by -1 h is proposed and not accepted.");
  });

  test("who reads in US units has theirs beside each figure of the record, which stays as score.json has it", async () => {
    await setOwnUnits(LOCAL_ACTOR, { units: "us" });
    const { document, detail } = await readTransaction(LOCAL_ACTOR, async (tx) => {
      const facts = await evidenceFacts(tx, siteId, NOW);
      if (!facts) throw new Error("the site has no score");
      const detail = { ...facts.detail, station: { ...facts.detail.station, says: "Its station is 12 km away." } };
      return { detail, document: evidenceDocument({ ...facts, detail }, NOW, await readerUnits(tx, LOCAL_ACTOR)) };
    });
    await setOwnUnits(LOCAL_ACTOR, { units: "metric" });
    expect(detail.station.says).toBe("Its station is 12 km away.");
    const text = (await pdfPages(await drawReport(document)))
      .map((p) => p.body)
      .join(" ")
      .replace(/\s+/g, " ");
    expect(text).toContain("Its station is 12 km (7 mi) away.");
  });

  test("calls nothing safe", async () => {
    const text = (await pdfPages(inFolder("evidence.pdf"))).map((p) => `${p.body} ${p.foot}`).join(" ");
    expect(text.length).toBeGreaterThan(3000);
    expect(text).not.toMatch(/\b(safe|safely|harmless|no danger|no risk)\b/i);
    expect(text).toContain("Treat all metal as live");
    expect(text).toContain("a gap is not a pass");
  });
});
