import ICAL from "ical.js";
import { describe, expect, test } from "vitest";
import { bookMonth, scheduledReports } from "../../../lib/jobs/monthly-report.ts";
import { readCoverage } from "../../../lib/reads/coverage.ts";
import { readDeadlineFeed } from "../../../lib/reads/deadline-feed.ts";
import { readMonthlyReport } from "../../../lib/reads/monthly-report.ts";
import { monthlyReport } from "../../../lib/report/monthly-report.ts";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { readTransaction } from "../../../lib/store/transaction.ts";
import { makeLink, revokeLink } from "../../../lib/writes/access-link.ts";
import { makeMonthlyReport } from "../../../lib/writes/monthly-report.ts";
import { setOwnUnits } from "../../../lib/writes/own-units.ts";
import { viewSharedSite } from "../../../lib/writes/view-shared-site.ts";
import { pdfPages } from "../../support/pdf-text.ts";
import { audit, book, DAY_MS, database, NOW, siteId, view } from "./scene.ts";

describe("links", () => {
  test("the calendar of a book opens by its secret alone, as another reader takes it, until it is revoked", async () => {
    const { path: at, link_id: linkId } = await makeLink(
      LOCAL_ACTOR,
      { kind: "calendar", book, madeFor: "Office" },
      NOW,
    );
    const secret = at.split("/").at(-1) ?? "";
    const text = await readDeadlineFeed(secret, NOW);
    const events = new ICAL.Component(ICAL.parse(text)).getAllSubcomponents("vevent").map((c) => new ICAL.Event(c));
    const { deadlines } = await readCoverage(LOCAL_ACTOR, { book }, NOW);
    const waiting = deadlines.filter((d) => d.state !== "sent");
    expect(events.map((e) => e.startDate.toString()).sort()).toEqual(
      waiting.map((d) => d.dueOn ?? new Date(NOW).toISOString().slice(0, 10)).sort(),
    );
    expect(new Set(events.map((e) => e.uid)).size).toBe(events.length);
    const stored = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx`SELECT secret_sha256, to_jsonb(l)::text AS row FROM access_link l`,
    );
    expect(stored.every((row) => !String(row.row).includes(secret.split(".")[1] ?? ""))).toBe(true);
    await expect(viewSharedSite(secret, NOW)).resolves.toBeNull();
    await revokeLink(LOCAL_ACTOR, { linkId });
    await expect(readDeadlineFeed(secret, NOW)).rejects.toThrow(/opens nothing/);
    await expect(readDeadlineFeed(`2.${secret.split(".")[1]}`, NOW)).rejects.toThrow(/opens nothing/);
    await expect(readDeadlineFeed("nonsense", NOW)).rejects.toThrow(/opens nothing/);
  });

  test("a shared site shows its evidence and no money, until its day; each opening is in the audit log", async () => {
    const made = await makeLink(LOCAL_ACTOR, { kind: "site", siteId, madeFor: "Inspector", days: 3 }, NOW);
    const secret = made.path.split("/").at(-1) ?? "";
    const shared = await viewSharedSite(secret, NOW);
    expect(shared?.title).toBe("Evidence file");
    expect(shared?.madeFor).toBe("Inspector");
    const words = JSON.stringify(shared);
    expect(words).not.toMatch(/50,?000|\bUSD\b/);
    const others = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<{ site_id: string }[]>`SELECT site_id FROM site WHERE site_id <> ${siteId}`,
    );
    for (const other of others) expect(words).not.toContain(other.site_id);
    const views = await audit("link.view");
    expect(views).toMatchObject([
      { subject: siteId, person: `link/${made.link_id}`, detail: { madeFor: "Inspector" } },
    ]);
    // In the units of who made the link, until its reader asks for others. The mile is 1.609344 km (NIST SP 811, appendix B.8).
    expect([shared?.units, (await viewSharedSite(secret, NOW, "us"))?.units]).toEqual(["metric", "us"]);
    await setOwnUnits(LOCAL_ACTOR, { units: "us" });
    const inUs = await viewSharedSite(secret, NOW);
    expect(inUs?.units).toBe("us");
    expect(words).toMatch(/\d km(?! \()/);
    expect(JSON.stringify(inUs)).not.toMatch(/\d km(?! \()/);
    expect(JSON.stringify(inUs)).toMatch(/\d km \(\d+ mi\)/);
    expect((await viewSharedSite(secret, NOW, "metric"))?.sections).toEqual(shared?.sections);
    await setOwnUnits(LOCAL_ACTOR, { units: "metric" });
    expect(await viewSharedSite(secret, NOW + 3 * DAY_MS)).toBeNull();
    expect((await view(NOW + 3 * DAY_MS)).links[0]?.state).toBe("expired");
    await revokeLink(LOCAL_ACTOR, { linkId: made.link_id });
    expect(await viewSharedSite(secret, NOW)).toBeNull();
    expect(await audit("link.view")).toHaveLength(4);
  });
});

describe("monthly report", () => {
  const solid = (text: string) => text.replace(/\s+/g, "");
  test("is one page whose text is the view model, stored and listed, once a month by schedule", async () => {
    const month = new Date(NOW).toISOString().slice(0, 7);
    const { report_id: id } = await makeMonthlyReport(LOCAL_ACTOR, { book, month }, NOW);
    const { pdf, fileName } = await readMonthlyReport(LOCAL_ACTOR, id);
    expect(fileName).toMatch(/^report-[\w-]+\.pdf$/);
    const pages = await pdfPages(pdf);
    expect(pages).toHaveLength(1);
    const document = monthlyReport(await readTransaction(LOCAL_ACTOR, (tx) => bookMonth(tx, book, month, NOW)), NOW);
    const text = solid(pages[0]?.body ?? "");
    for (const [label, value] of document.facts) expect(text).toContain(solid(label + value));
    for (const section of document.sections) {
      expect(text).toContain(solid(section.heading));
      for (const paragraph of section.paragraphs) expect(text).toContain(solid(paragraph));
      for (const row of section.table?.rows ?? []) for (const cell of row) expect(text).toContain(solid(cell));
    }
    expect(await scheduledReports(database(), 1, NOW)).toBeGreaterThan(0);
    expect(await scheduledReports(database(), 1, NOW)).toBe(0);
    const { reports } = await readCoverage(LOCAL_ACTOR, { book }, NOW);
    expect(reports.map((r) => r.scheduled).sort()).toEqual([false, true]);
    await expect(makeMonthlyReport(LOCAL_ACTOR, { book: "No book", month }, NOW)).rejects.toThrow(/no book "No book"/);
    await expect(makeMonthlyReport(LOCAL_ACTOR, { book, month: "2099-01" }, NOW)).rejects.toThrow(/has not begun/);
  });

  test("stays one page with the longest names and full lists", async () => {
    const of = await readTransaction(LOCAL_ACTOR, (tx) => bookMonth(tx, book, "2026-10", NOW));
    const { drawReport } = await import("../../../lib/report/draw-report.ts");
    const long = "A very long name of a site or book of sites that somebody typed without end ".repeat(4);
    const deadline = { dueOn: null, title: "prudent day to notify", site: long, state: "read the contract" };
    const worst = { site: long, urgency: "make_safe", p: 0.999, low: 0.9, high: 1 };
    const full = {
      ...of,
      book: long,
      deadlines: Array(8).fill(deadline),
      deadlinesTotal: 800,
      worst: Array(8).fill(worst),
      expectedLoss: 123_456_789,
    };
    expect(await pdfPages(await drawReport(monthlyReport(full, NOW)))).toHaveLength(1);
  });
});
