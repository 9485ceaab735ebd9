import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { openLossRunIfDue, runLossRuns } from "../../lib/jobs/loss-run.ts";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { readBooks } from "../../lib/reads/books.ts";
import { readCoverage } from "../../lib/reads/coverage.ts";
import { readSiteCoverage } from "../../lib/reads/coverage-site.ts";
import {
  readCountedAs,
  readExposure,
  readExposureSite,
  readExposureView,
  readWhatIfRun,
} from "../../lib/reads/exposure.ts";
import { ExposureDocument } from "../../lib/reads/exposure-document.ts";
import { WhatIfAsked } from "../../lib/reads/exposure-stored.ts";
import { readMonthlyReport } from "../../lib/reads/monthly-report.ts";
import { LOCAL_ACTOR, systemActor } from "../../lib/store/actor.ts";
import { database } from "../../lib/store/database.ts";
import { finishedLossRun } from "../../lib/store/loss-runs.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { saveAccountRate } from "../../lib/writes/account-rate.ts";
import { keepPaper } from "../../lib/writes/coverage-paper.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { startLossRun, startWhatIf, stopLossRun } from "../../lib/writes/loss-run.ts";
import { makeMonthlyReport } from "../../lib/writes/monthly-report.ts";
import { saveParameters } from "../../lib/writes/save-parameters.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

// The queue only wakes a worker sooner; there is none in a test.
vi.mock("../../lib/jobs/wake-worker.ts", () => ({
  wakeScoring: async () => {},
  wakeWorker: async () => {},
  wakeLoss: async () => {},
}));

useTestDatabase();
const NOW = Date.UTC(2026, 10, 20);
let data = "";
const refresh = () => refreshScores(LOCAL_ACTOR, { now: NOW });
const carryOut = async () => runLossRuns(await database(), systemActor(1), { waits: true });
const shortfall = (b: { tail: { level: number; expected_shortfall: { value: number } }[] } | null | undefined) =>
  b?.tail.find((t) => t.level === 0.975)?.expected_shortfall.value ?? Number.NaN;

beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-exposure-"));
  process.env.RAINTRIP_DATA = data;
  const folder = path.join(data, "drop");
  await writeDemoDrop(folder, { seed: "exposure", sites: 18, days: 400, endDay: "2026-10-31" });
  await importPaths(LOCAL_ACTOR, [folder]);
});
afterAll(() => {
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

describe("exposure", () => {
  test("before any score there is nothing to draw, and that is said", async () => {
    await expect(startLossRun(LOCAL_ACTOR)).rejects.toThrow("No site has a score yet");
    expect(await openLossRunIfDue(LOCAL_ACTOR)).toBe(false);
    const document = await readExposure(LOCAL_ACTOR, {});
    expect(document).toMatchObject({ whole: null, books: [], sites: [], stale: false, currency: "USD" });
    expect(document.cautions.join(" ")).toContain("no legal advice");
  });

  test("follows the scores by itself, once; books, sites and the account add up", async () => {
    await refresh();
    expect(await openLossRunIfDue(LOCAL_ACTOR)).toBe(true);
    expect(await carryOut()).toBe(1);
    expect(await openLossRunIfDue(LOCAL_ACTOR)).toBe(false);
    const document = ExposureDocument.parse(await readExposure(LOCAL_ACTOR, {}));
    expect(document.stale).toBe(false);
    expect(document.books.map((b) => b.book)).toEqual(["North book", "Prairie book", "River book"]);
    expect(document.sites).toHaveLength(18);
    const sum = (of: (s: (typeof document.sites)[number]) => number, book?: string) =>
      document.sites.filter((s) => book === undefined || s.book === book).reduce((t, s) => t + of(s), 0);
    expect(sum((s) => s.expected_net.value)).toBeCloseTo(document.whole?.expected_net.value ?? 0, 4);
    expect(sum((s) => s.part_of_whole)).toBeCloseTo(shortfall(document.whole), 2);
    for (const book of document.books) {
      expect(sum((s) => s.expected_net.value, book.book ?? "")).toBeCloseTo(book.expected_net.value, 4);
      expect(sum((s) => s.part_of_book, book.book ?? "")).toBeCloseTo(shortfall(book), 2);
      // Drawn and reckoned agree: limits shared for a year hardly bind in so small a book.
      expect(Math.abs(book.drawn_gross.value - book.expected_gross.value)).toBeLessThan(5 * book.drawn_gross.error);
      expect(book.expected_net.low).toBeLessThanOrEqual(book.expected_net.value);
      expect(book.expected_net.high).toBeGreaterThanOrEqual(book.expected_net.value);
      expect(book.trend.at(-1)?.sites).toBe(book.sites);
    }
    expect(document.whole?.defects.expected.value).toBeGreaterThan(0);
  });

  test("the page and the document give one number, of a book and of a site", async () => {
    const document = await readExposure(LOCAL_ACTOR, { book: "River book" });
    const view = await readExposureView(LOCAL_ACTOR, { book: "River book" });
    expect(view.document).toEqual(document);
    expect(view.run).toMatchObject({ status: "done", requestedBy: "raintrip" });
    const first = document.sites[0];
    const site = await readExposureSite(LOCAL_ACTOR, first?.site_id ?? "");
    expect(site?.site).toEqual(first);
    expect(site?.shortfallOfBook).toBe(shortfall(document.books[0]));
    const { detail } = site as NonNullable<typeof site>;
    expect(detail.byCause.reduce((t, c) => t + c.net, 0)).toBeCloseTo(first?.expected_net.value ?? 0, 6);
    expect(detail.contracts.reduce((t, c) => t + c.recovered, 0)).toBeCloseTo(first?.expected_recovered ?? 0, 6);
    expect(detail.assumed.length + detail.missing.length).toBeGreaterThan(0);
    expect(await readExposureSite(LOCAL_ACTOR, "NOPE")).toBeNull();
    await expect(readExposure(LOCAL_ACTOR, { book: "No such" })).rejects.toThrow("There is no book");
  });

  test("the same scores drawn again give the same figures", async () => {
    const before = await readExposure(LOCAL_ACTOR, {});
    await startLossRun(LOCAL_ACTOR);
    await carryOut();
    const { computed_at: _, ...after } = await readExposure(LOCAL_ACTOR, {});
    expect(after).toEqual({ ...before, computed_at: undefined });
  });

  test("a visit, an inspection of an installer and bought cover: each with its difference, error and cost", async () => {
    const document = await readExposure(LOCAL_ACTOR, { book: "North book" });
    const ask = async (asked: unknown) => {
      const { runId } = await startWhatIf(LOCAL_ACTOR, WhatIfAsked.parse(asked));
      await carryOut();
      return readWhatIfRun(LOCAL_ACTOR, runId);
    };
    const siteIds = document.sites.slice(0, 2).map((s) => s.site_id);
    const visit = await ask({ book: "North book", act: { kind: "visit", siteIds: [...siteIds, "ELSEWHERE"] } });
    const change = visit.result?.change;
    expect(visit.result).toMatchObject({ sites: 2, currency: "USD" });
    expect(visit.result?.says.join(" ")).toContain("ELSEWHERE");
    expect(visit.result?.cost).toBeGreaterThan(0);
    const { before, change: less } = visit.result?.expected ?? { before: 0, change: 0 };
    expect(before).toBeCloseTo(document.books[0]?.expected_net.value ?? 0, 6);
    expect(less).toBeLessThan(0);
    // What is drawn agrees with what is reckoned.
    expect(Math.abs((change?.mean.value ?? 0) - less)).toBeLessThan(4 * (change?.mean.error ?? 0));
    // Over the same years: what it starts from is the page's own figure.
    expect(change?.before.tail).toEqual(document.books[0]?.tail);
    expect(change?.mean.error).toBeLessThan(change?.before.mean.error ?? 0);

    const { installers } = await readExposureView(LOCAL_ACTOR, {});
    const inspect = await ask({ book: null, act: { kind: "inspect", installer: installers[0]?.installer } });
    expect(inspect.result?.sites).toBe(installers[0]?.sites);
    expect(inspect.result?.change.mean.value).toBeLessThan(0);

    const cover = {
      kind: "cover",
      cover: "liability_insurance",
      limit: 2_000_000,
      deductible: 1000,
      basis: "aggregate",
    };
    const bought = await ask({ book: null, act: { ...cover, premiumPerSite: 120 } });
    expect(bought.result?.cost).toBe(18 * 120);
    expect(bought.result?.change.mean.value).toBeLessThan(0);

    const nobody = await ask({ book: "North book", act: { kind: "visit", siteIds: ["ELSEWHERE"] } });
    expect(nobody.run).toMatchObject({ status: "failed", says: expect.stringContaining("None of these sites") });
    expect(() => WhatIfAsked.parse({ book: null, act: { ...cover, limit: 10, premiumPerSite: 0 } })).toThrow(
      "limit is below the deductible",
    );
  });

  test("a run that a person stops stays stopped, and the last finished one stays in force", async () => {
    const before = await readTransaction(LOCAL_ACTOR, finishedLossRun);
    const { runId } = await startLossRun(LOCAL_ACTOR);
    expect(await startLossRun(LOCAL_ACTOR)).toEqual({ runId });
    expect(await stopLossRun(LOCAL_ACTOR, runId)).toEqual({ stopped: true });
    expect(await stopLossRun(LOCAL_ACTOR, runId)).toEqual({ stopped: false });
    expect(await carryOut()).toBe(0);
    expect((await readTransaction(LOCAL_ACTOR, finishedLossRun))?.runId).toBe(before?.runId);
    expect((await readExposureView(LOCAL_ACTOR, {})).run).toMatchObject({
      status: "cancelled",
      says: "Stopped by local.",
    });
  });

  test("a run that is stopped while it draws ends there and stores nothing", async () => {
    const db = await database();
    const before = await readTransaction(LOCAL_ACTOR, finishedLossRun);
    const { runId } = await startLossRun(LOCAL_ACTOR);
    let stopping: Promise<unknown> | null = null;
    await runLossRuns(db, systemActor(1), {
      waits: true,
      onProgress: () => {
        stopping ??= stopLossRun(LOCAL_ACTOR, runId);
      },
    });
    expect(await stopping).toEqual({ stopped: true });
    expect((await readTransaction(LOCAL_ACTOR, finishedLossRun))?.runId).toBe(before?.runId);
  });

  test("another parameter or contract makes it stale, and the next run takes it in with the new version", async () => {
    const before = await readExposure(LOCAL_ACTOR, {});
    await saveParameters(LOCAL_ACTOR, {
      parent: 0,
      reason: "a test of the door",
      changes: [
        { key: "loss.seriousHarm", value: 6_000_000, spread: 0 },
        { key: "loss.drawnYears", value: 4000, spread: 0 },
      ],
    });
    await refresh();
    expect(await readExposure(LOCAL_ACTOR, {})).toEqual({ ...before, stale: true });
    expect(await openLossRunIfDue(LOCAL_ACTOR)).toBe(true);
    await carryOut();
    const after = await readExposure(LOCAL_ACTOR, {});
    expect(after).toMatchObject({ stale: false, years: 4000, parameter_version: expect.stringMatching(/\+1$/) });
    expect(after.whole?.expected_gross.value).toBeGreaterThan((before.whole?.expected_gross.value ?? 0) * 1.2);
    // A contract with its dates the wrong way round counts for nothing and is named at its site.
    const id = after.sites[0]?.site_id ?? "";
    const drop = dropFolder({
      "coverage.csv": `coverage_id,site_id,kind,starts_on,ends_on\nBAD,${id},equipment,2027-01-01,2026-01-01\n`,
    });
    const done = await importPaths(LOCAL_ACTOR, [drop]);
    await refresh();
    if (await openLossRunIfDue(LOCAL_ACTOR)) await carryOut();
    const found = await readExposureSite(LOCAL_ACTOR, id);
    const setAside = done.files[0]?.set_aside ?? 0;
    // Either the import sets it aside with its reason, or it is kept and said not to count: never neither.
    expect(setAside + (found?.detail.remarks.filter((r) => r.coverageId === "BAD" && !r.counted).length ?? 0)).toBe(1);
  });
});

describe("what a site can show", () => {
  test("a licence put on file raises what is recovered by just what it was said to be worth, and the run follows by itself", async () => {
    const contract =
      "LIC,S002,workmanship,2020-01-01,2040-01-01,5000,100,30,USD,per_occurrence,licensed_installer;annual_inspection\n";
    const drop = dropFolder({
      "coverage.csv": `coverage_id,site_id,kind,starts_on,ends_on,limit_amount,deductible_amount,notice_days,currency,limit_basis,conditions\n${contract}`,
    });
    await importPaths(LOCAL_ACTOR, [drop]);
    await refresh();
    if (await openLossRunIfDue(LOCAL_ACTOR)) await carryOut();
    const before = await readExposureSite(LOCAL_ACTOR, "S002");
    const licence = before?.detail.proof?.gains.find((g) => g.name === "licensed_installer");
    expect(licence?.state).toBe("unknown");
    expect(licence?.coverageIds).toContain("LIC");
    expect(licence?.worth).toBeGreaterThan(0);
    // Figures of a book are those of its sites.
    const inBook = async () => (await readExposure(LOCAL_ACTOR, { book: before?.site.book ?? "" })).books[0]?.proof;
    expect((await inBook())?.missing.find((m) => m.name === "licensed_installer")?.worth).toBeGreaterThanOrEqual(
      licence?.worth ?? Number.POSITIVE_INFINITY,
    );

    const paper = { site_id: "S002", kind: "installer_licence" as const, file_name: "licence.pdf" };
    const body = new Request("http://localhost/paper", { method: "POST", body: "%PDF-1.7 a licence" });
    await keepPaper(LOCAL_ACTOR, paper, body);
    expect((await readExposure(LOCAL_ACTOR, {})).stale).toBe(true);
    expect(await openLossRunIfDue(LOCAL_ACTOR)).toBe(true);
    await carryOut();
    const after = await readExposureSite(LOCAL_ACTOR, "S002");
    expect(after?.detail.contracts.find((c) => c.coverageId === "LIC")?.conditions).toBeGreaterThan(
      before?.detail.contracts.find((c) => c.coverageId === "LIC")?.conditions ?? 1,
    );
    expect(after?.detail.proof?.gains.some((g) => g.name === "licensed_installer")).toBe(false);
    expect((after?.site.expected_recovered ?? 0) - (before?.site.expected_recovered ?? 0)).toBeCloseTo(
      licence?.worth ?? 0,
      9,
    );
  });
});

describe("the owner of a book", () => {
  const owner = { ...LOCAL_ACTOR, person: "owner", role: "owner", portfolios: ["River book"] };

  test("sees that book whole, with its figures, days, defects, sites and reports, and nothing of another", async () => {
    const whole = await readExposure(LOCAL_ACTOR, { book: "River book" });
    await makeMonthlyReport(LOCAL_ACTOR, { book: "River book", month: "2026-10" }, NOW);
    await makeMonthlyReport(LOCAL_ACTOR, { book: "North book", month: "2026-10" }, NOW);
    const view = await readBooks(owner, NOW);
    expect(view.stale).toBe(false);
    expect(view.books.map((b) => b.book)).toEqual(["River book"]);
    const [own] = view.books;
    expect(own?.exposure).toEqual(whole.books[0]);
    expect(own?.sites).toBe(whole.books[0]?.sites);
    const most = [...whole.sites].sort((a, b) => b.expected_net.value - a.expected_net.value)[0];
    expect(own?.worst[0]).toMatchObject({ siteId: most?.site_id, net: most?.expected_net });
    expect(own?.reports.map((r) => r.month)).toEqual(["2026-10"]);
    const { pdf } = await readMonthlyReport(owner, own?.reports[0]?.reportId ?? "");
    expect(pdf.subarray(0, 5).toString()).toBe("%PDF-");
    const words = JSON.stringify(view);
    for (const other of (await readExposure(LOCAL_ACTOR, {})).sites.filter((s) => s.book !== "River book"))
      expect(words).not.toContain(other.site_id);

    const site = await readExposureSite(owner, most?.site_id ?? "");
    expect(site?.site).toEqual(most);
    expect(site?.shortfallOfBook).toBe(shortfall(whole.books[0]));
    // What other owners' sites come to is not theirs to know.
    expect(site?.shortfallOfWhole).toBeNull();
    const elsewhere = (await readExposure(LOCAL_ACTOR, { book: "North book" })).sites[0]?.site_id ?? "";
    expect(await readExposureSite(owner, elsewhere)).toBeNull();
    const all = await readBooks(LOCAL_ACTOR, NOW);
    const foreign = all.books.find((b) => b.book === "North book")?.reports[0]?.reportId ?? "";
    await expect(readMonthlyReport(owner, foreign)).rejects.toThrow(/no such report/i);
    await expect(readBooks({ ...LOCAL_ACTOR, role: "technician" }, NOW)).rejects.toThrow(/may not do that/);
    expect((await readBooks({ ...owner, portfolios: [] }, NOW)).books).toEqual([]);
  });
});

describe("a site in two books", () => {
  test("is named on both pages, counted once, and stays on record with its contracts", async () => {
    const before = await readExposure(LOCAL_ACTOR, {});
    const [place] = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<
        {
          latitude: number;
          longitude: number;
          time_zone: string;
          portfolio: string;
          inverter_id: string;
          ac_kw: number;
        }[]
      >`
        SELECT latitude, longitude, time_zone, portfolio, inverter_id, i.ac_kw FROM site JOIN inverter i USING (account_id, site_id)
        WHERE site_id = 'S003' ORDER BY inverter_id LIMIT 1`,
    );
    if (!place) throw new Error("no such site");
    const { latitude, longitude, time_zone: zone, portfolio } = place;
    const other = before.books.find((b) => b.book !== portfolio)?.book;
    const drop = dropFolder({
      "sites.csv": `site_id,name,portfolio,latitude,longitude,time_zone,dc_kw,ac_kw\nZ-03,The same again,${other},${latitude},${longitude},${zone},20,16\n`,
      "inverters.csv": `site_id,inverter_id,ac_kw,serial\nS003,${place.inverter_id},${place.ac_kw},SN-0303\nZ-03,1,16,sn-0303\n`,
      "coverage.csv": "coverage_id,site_id,kind,starts_on,ends_on\nZ-W,Z-03,workmanship,2020-01-01,2040-01-01\n",
    });
    await importPaths(LOCAL_ACTOR, [drop]);
    await refresh();
    if (await openLossRunIfDue(LOCAL_ACTOR)) await carryOut();
    const after = await readExposure(LOCAL_ACTOR, {});
    expect(after.whole?.sites).toBe(before.whole?.sites);
    expect(after.books.reduce((n, b) => n + b.sites, 0)).toBe(before.whole?.sites);
    expect(after.sites).toHaveLength(before.sites.length);
    const said = after.remarks.find((r) => r.includes("Z-03"));
    expect(said).toContain("one site in two books?");
    const [kept, gone] = String(portfolio) < String(other) ? ["S003", "Z-03"] : ["Z-03", "S003"];
    expect(await readCountedAs(LOCAL_ACTOR, gone as string)).toBe(kept);
    expect(await readCountedAs(LOCAL_ACTOR, kept as string)).toBeNull();
    expect(await readExposureSite(LOCAL_ACTOR, gone as string)).toBeNull();
    const register = await readCoverage(LOCAL_ACTOR, {}, NOW);
    const named = register.troubles.filter((t) => t.what === "site_twice");
    expect(named.map((t) => t.siteId).sort()).toEqual(["S003", "Z-03"]);
    expect(named[0]?.says).toBe(said);
    expect(register.sites).toBe(before.whole === null ? 0 : before.whole.sites + 1);
    const own = await readSiteCoverage(LOCAL_ACTOR, "Z-03", NOW);
    expect(own?.contracts.map((c) => c.coverageId)).toEqual(["Z-W"]);
    expect(own?.troubles.map((t) => t.what)).toContain("site_twice");
  });
});

describe("saveAccountRate", () => {
  test("money in another currency waits for its rate, is named until then, and counts once it is set", async () => {
    const drop = dropFolder({
      "coverage.csv":
        "coverage_id,site_id,kind,starts_on,ends_on,limit_amount,deductible_amount,currency,limit_basis\nCHF1,S001,property_insurance,2026-01-01,2030-01-01,90000,1000,CHF,per_occurrence\n",
    });
    await importPaths(LOCAL_ACTOR, [drop]);
    await refresh();
    if (await openLossRunIfDue(LOCAL_ACTOR)) await carryOut();
    const contract = async () => (await readExposureSite(LOCAL_ACTOR, "S001"))?.detail;
    expect((await contract())?.remarks.find((r) => r.coverageId === "CHF1")).toMatchObject({
      counted: false,
      says: expect.stringContaining("no rate into USD: add the rate"),
    });
    expect((await readExposureView(LOCAL_ACTOR, {})).currencies).toEqual([
      { currency: "CHF", rate: null, sites: 0, contracts: 1 },
    ]);
    await saveAccountRate(LOCAL_ACTOR, { currency: "CHF", rate: 1.1 });
    await refresh();
    expect(await openLossRunIfDue(LOCAL_ACTOR)).toBe(true);
    await carryOut();
    expect((await contract())?.contracts.find((c) => c.coverageId === "CHF1")).toMatchObject({
      limit: expect.closeTo(99_000, 6),
      deductible: expect.closeTo(1100, 6),
    });
    await expect(saveAccountRate(LOCAL_ACTOR, { currency: "USD", rate: 2 })).rejects.toThrow("its rate is 1");
    await expect(saveAccountRate({ ...LOCAL_ACTOR, role: "crew" }, { currency: "EUR", rate: 2 })).rejects.toThrow(
      "Your role (crew) may not do that",
    );
    await saveAccountRate(LOCAL_ACTOR, { currency: "CHF", rate: null });
    expect((await readExposureView(LOCAL_ACTOR, {})).currencies[0]?.rate).toBeNull();
  });
});
