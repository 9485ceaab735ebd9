import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { buffer } from "node:stream/consumers";
import ICAL from "ical.js";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import yauzl from "yauzl";
import { installQueue } from "../../lib/jobs/boss.ts";
import { writeReminders } from "../../lib/jobs/coverage-reminders.ts";
import { bookMonth, scheduledReports } from "../../lib/jobs/monthly-report.ts";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { readCoverage, readDeadlineCalendar, readPaper } from "../../lib/reads/coverage.ts";
import { readSiteCoverage } from "../../lib/reads/coverage-site.ts";
import type { SiteCoverageView } from "../../lib/reads/coverage-view.ts";
import { readDeadlineFeed } from "../../lib/reads/deadline-feed.ts";
import { readMonthlyReport } from "../../lib/reads/monthly-report.ts";
import { readQueue } from "../../lib/reads/queue.ts";
import { monthlyReport } from "../../lib/report/monthly-report.ts";
import { verifyEvidence } from "../../lib/report/verify-evidence.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction, writeTransaction } from "../../lib/store/transaction.ts";
import { makeLink, revokeLink } from "../../lib/writes/access-link.ts";
import { acknowledgeReminder } from "../../lib/writes/acknowledge-reminder.ts";
import { keepPaper, safeFileName } from "../../lib/writes/coverage-paper.ts";
import { saveCoverageTerms } from "../../lib/writes/coverage-terms.ts";
import { enterHandover, enterPart } from "../../lib/writes/custody.ts";
import { DiscoveryBody, endDiscovery, enterDiscovery } from "../../lib/writes/discovery.ts";
import { makeEvidenceArchive } from "../../lib/writes/evidence-archive.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { makeMonthlyReport } from "../../lib/writes/monthly-report.ts";
import { recordNotice } from "../../lib/writes/notice-sent.ts";
import { setOwnUnits } from "../../lib/writes/own-units.ts";
import { viewSharedSite } from "../../lib/writes/view-shared-site.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { pdfPages } from "../support/pdf-text.ts";
import { fileRequest, samplePng } from "../support/sample-files.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();
const DAY_MS = 86_400_000;
/** The database gives discoveries their time, so these tests live in the present. */
const NOW = Date.now();
const by = "Invented Person";
let data = "";
let siteId = "";
let book = "";

const TERMS = {
  ...{ provider: "Invented carrier", limit_amount: "50000", deductible_amount: "1000", notice_days: "30" },
  ...{
    notice_to: "Claims desk",
    policy_number: "P-1",
    currency: "USD",
    limit_basis: "per_occurrence",
    trigger: "occurrence",
  },
  ...{ proof_of_loss_days: "60", suit_limit_months: "", excludes: "wear; vermin", conditions: "annual_inspection" },
  ...{ kind: "property_insurance", starts_on: "2024-01-01", ends_on: "2099-12-31" },
};
const save = (coverage_id: string, over: Partial<typeof TERMS> = {}, change = false) =>
  saveCoverageTerms(LOCAL_ACTOR, { change, terms: { coverage_id, site_id: siteId, ...TERMS, ...over } });
const view = async (now = NOW): Promise<SiteCoverageView> => {
  const found = await readSiteCoverage(LOCAL_ACTOR, siteId, now);
  if (!found) throw new Error("no such site");
  return found;
};
const audit = async (action: string) =>
  readTransaction(
    LOCAL_ACTOR,
    (tx) => tx<{ person: string; subject: string; detail: Record<string, unknown> }[]>`
      SELECT person, subject, detail FROM audit_entry WHERE action = ${action} ORDER BY seq`,
  );

beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-coverage-"));
  process.env.RAINTRIP_DATA = data;
  const drop = path.join(data, "drop");
  await writeDemoDrop(drop, { seed: "coverage", sites: 6, days: 300, endDay: "2026-10-31" });
  rmSync(path.join(drop, "coverage.csv"));
  await importPaths(LOCAL_ACTOR, [drop]);
  await installQueue(database().address);
  await refreshScores(LOCAL_ACTOR, { now: NOW });
  // A site that is queued anyway, so that its checklist can be looked at.
  const { visits } = await readQueue(LOCAL_ACTOR);
  siteId = visits.find((v) => v.urgency !== "make_safe")?.site_id ?? visits[0]?.site_id ?? "";
  book = (await view()).site.portfolio;
});
afterAll(() => {
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

describe("register", () => {
  test("a contract is entered and changed as an import would, and the audit log says what was what before", async () => {
    expect(await save("P-A")).toEqual({ coverageId: "P-A", troubles: [] });
    await save("P-A", { notice_days: "" }, true);
    const { contracts } = await view();
    expect(contracts).toMatchObject([
      {
        coverageId: "P-A",
        noticeDays: null,
        limitAmount: 50_000,
        excludes: ["wear", "vermin"],
        conditions: ["annual_inspection"],
      },
    ]);
    const [change] = await audit("coverage.change");
    expect(change?.detail).toEqual({ coverageId: "P-A", changes: { notice_days: { from: 30, to: null } } });
    await save("P-A", {}, true);
  });

  test("what cannot be stored is refused with field and reason, and nothing is changed", async () => {
    await expect(save("P-B", { ends_on: "2023-01-01" })).rejects.toThrow(/ends on .*2023-01-01.*Nothing was stored/);
    await expect(save("P-B", { notice_days: "thirty" })).rejects.toThrow(/notice days "thirty": not a number/);
    await expect(save("P-B", { currency: "QQQ" })).rejects.toThrow(/ISO 4217/);
    await expect(save("P-A")).rejects.toThrow(/"P-A" is taken/);
    await expect(save("P-NONE", {}, true)).rejects.toThrow(/no contract "P-NONE"/);
    expect((await view()).contracts).toHaveLength(1);
  });

  test("overlap, a limit below the deductible and a missing currency are stored and said, on saving and in the register", async () => {
    const { troubles } = await save("P-C", { limit_amount: "500", currency: "" });
    expect(troubles.join(" ")).toMatch(/limit 500 is below the deductible 1000.*no currency.*both run from/s);
    const { troubles: found, contracts } = await readCoverage(LOCAL_ACTOR, { book }, NOW);
    expect(found.map((t) => t.what).sort()).toEqual(["currency_missing", "limit_below_deductible", "overlap"]);
    expect(contracts.map((c) => c.coverageId)).toEqual(["P-A", "P-C"]);
    expect((await readCoverage(LOCAL_ACTOR, { find: "p-c" }, NOW)).contractsTotal).toBe(1);
    await save("P-C", { starts_on: "2020-01-01", ends_on: "2020-12-31", trigger: "claims_made" }, true);
  });

  test("a paper comes back byte for byte; what is neither PDF nor picture, or too large, is refused", async () => {
    const bytes = Buffer.from("%PDF-1.7\nan invented contract");
    const query = {
      site_id: siteId,
      coverage_id: "P-A",
      kind: "contract",
      file_name: "../../evil\u0000name.pdf",
      page: 12,
    } as const;
    const { document_id: id } = await keepPaper(LOCAL_ACTOR, query, fileRequest(bytes));
    const paper = await readPaper(LOCAL_ACTOR, siteId, id);
    expect(paper.content.equals(bytes)).toBe(true);
    expect(paper).toMatchObject({ mediaType: "application/pdf", fileName: "evil_name.pdf" });
    expect((await view()).contracts.find((c) => c.coverageId === "P-A")?.papers).toMatchObject([
      { page: 12, kind: "contract" },
    ]);
    await expect(keepPaper(LOCAL_ACTOR, query, fileRequest(Buffer.from("<script>")))).rejects.toThrow(
      /neither a PDF nor/,
    );
    await expect(keepPaper(LOCAL_ACTOR, query, fileRequest(Buffer.alloc(15_000_001)))).rejects.toThrow(/at most 15 MB/);
    await expect(keepPaper(LOCAL_ACTOR, { ...query, coverage_id: "P-NONE" }, fileRequest(bytes))).rejects.toThrow(
      /no contract/,
    );
    expect(safeFileName("..")).toBe("paper");
  });
});

describe("claim", () => {
  let discoveryId = "";

  test("a discovery takes the database's time, names its person, and no date can be sent along", async () => {
    expect(
      DiscoveryBody.safeParse({ siteId, what: "open bond", reason: "measured", by, discoveredOn: "2020-01-01" })
        .success,
    ).toBe(false);
    const made = await enterDiscovery(LOCAL_ACTOR, { siteId, what: "open bond", reason: "measured 4 ohm", by });
    discoveryId = made.discovery_id;
    const [line] = (await view()).discoveries;
    expect(line).toMatchObject({ what: "open bond", by, on: made.discovered_on, ended: null });
    expect(Math.abs(Date.parse(line?.at ?? "") - Date.now())).toBeLessThan(60_000);
    expect((await audit("discovery.enter"))[0]?.detail).toMatchObject({ discoveryId, reason: "measured 4 ohm", by });
  });

  test("the application cannot write or change the time of a discovery, nor delete one", async () => {
    const tries = [
      (
        tx: Parameters<Parameters<typeof writeTransaction>[1]>[0],
      ) => tx`INSERT INTO discovery (account_id, site_id, discovery_id, what, reason, discovered_by, discovered_at)
        VALUES (current_account(), ${siteId}, gen_random_uuid(), 'x', 'x', 'x', '2020-01-01')`,
      (tx: Parameters<Parameters<typeof writeTransaction>[1]>[0]) =>
        tx`UPDATE discovery SET discovered_at = '2020-01-01'`,
      (tx: Parameters<Parameters<typeof writeTransaction>[1]>[0]) => tx`UPDATE discovery SET reason = 'another'`,
      (tx: Parameters<Parameters<typeof writeTransaction>[1]>[0]) => tx`DELETE FROM discovery`,
    ];
    for (const attempt of tries)
      await expect(
        writeTransaction(LOCAL_ACTOR, async (tx) => {
          await attempt(tx);
          return { result: null, note: null };
        }),
      ).rejects.toThrow(/permission denied/);
  });

  test("its deadlines are those of the contract in force, with the money that hangs on them", async () => {
    const { deadlines, discoveries } = await view();
    const on = discoveries[0]?.on ?? "";
    const due = new Date(Date.parse(`${on}T00:00:00Z`) + 30 * DAY_MS).toISOString().slice(0, 10);
    expect(deadlines.find((d) => d.kind === "notice")).toMatchObject({
      coverageId: "P-A",
      dueOn: due,
      daysLeft: 30,
      state: "open",
      discoveryId,
    });
    expect(deadlines.find((d) => d.kind === "suit")).toMatchObject({ state: "read_contract" });
    expect(deadlines.find((d) => d.kind === "notice")?.atRisk).toBeGreaterThanOrEqual(0);
    const month = await readDeadlineCalendar(LOCAL_ACTOR, { book, month: due.slice(0, 7) }, NOW);
    expect(month.deadlines.some((d) => d.dueOn === due && d.kind === "notice")).toBe(true);
    expect(month.undated.some((d) => d.kind === "suit")).toBe(true);
  });

  test("the checklist asks the carrier before anything is altered, and says what the claim lacks", async () => {
    await refreshScores(LOCAL_ACTOR, { now: NOW });
    const visit = (await readQueue(LOCAL_ACTOR)).visits.find((v) => v.site_id === siteId);
    expect(visit?.before_work?.map((s) => s.step)).toEqual(["ask_carrier", "keep_parts"]);
    expect(visit?.before_work?.[0]?.says).toContain("Claims desk");
    expect(visit?.checklist.some((item) => item.source === "coverage" && item.for_coverage?.length)).toBe(true);
    const others = (await readQueue(LOCAL_ACTOR)).visits.filter((v) => v.site_id !== siteId);
    expect(others.length).toBeGreaterThan(0);
    expect(others.every((v) => v.before_work === undefined)).toBe(true);
  });

  test("reminders are written once each, by any number of rounds and workers, and read by a named person", async () => {
    const reminders = () =>
      readTransaction(LOCAL_ACTOR, (tx) => tx`SELECT subject FROM outbox_alert WHERE kind = 'coverage_deadline'`);
    const rounds = await Promise.all([0, 1, 2].map(() => writeReminders(database(), 1, NOW)));
    expect(rounds.reduce((a, b) => a + b, 0)).toBe((await reminders()).length);
    const first = (await reminders()).length;
    // Notice and proof of loss: the reminders at 30 and at 60 days; the suit's term is not recorded: notify now.
    expect(first).toBe(3);
    for (let day = 0; day <= 62; day++) await writeReminders(database(), 1, NOW + day * DAY_MS);
    const subjects = (await reminders()).map((r) => String(r.subject)).filter((s) => s.includes("/notice/"));
    expect(subjects.map((s) => s.split("/").at(-1)).sort()).toEqual(["14", "2", "30", "7", "passed"]);
    const open = (await readCoverage(LOCAL_ACTOR, { book }, NOW)).reminders;
    const key = open[0]?.key ?? "";
    await acknowledgeReminder(LOCAL_ACTOR, { key, by });
    await expect(acknowledgeReminder(LOCAL_ACTOR, { key, by })).rejects.toThrow(/read already/);
    expect((await readCoverage(LOCAL_ACTOR, { book }, NOW)).reminders.some((r) => r.key === key)).toBe(false);
  });

  test("a notice is recorded with its paper, not for a day to come, and ends its deadline and its reminders", async () => {
    const paper = { site_id: siteId, coverage_id: "P-A", kind: "notice", file_name: "notice.png" } as const;
    const { document_id: documentId } = await keepPaper(LOCAL_ACTOR, paper, fileRequest(samplePng()));
    const on = (await view()).today;
    const body = {
      siteId,
      coverageId: "P-A",
      discoveryId,
      kind: "notice",
      sentOn: on,
      sentTo: "Claims desk",
      method: "courier",
      documentId,
    } as const;
    const later = new Date(NOW + 2 * DAY_MS).toISOString().slice(0, 10);
    await expect(recordNotice(LOCAL_ACTOR, { ...body, sentOn: later }, NOW)).rejects.toThrow(/after today/);
    await expect(recordNotice(LOCAL_ACTOR, { ...body, documentId: discoveryId }, NOW)).rejects.toThrow(
      /Attach the paper/,
    );
    await recordNotice(LOCAL_ACTOR, body, NOW);
    expect((await view()).deadlines.find((d) => d.kind === "notice")).toMatchObject({ state: "sent", sentOn: on });
  });

  test("a removed part goes from hand to hand without a gap, and the chain counts as evidence only when whole", async () => {
    const at = new Date(NOW - 7_200_000).toISOString();
    const part = { siteId, tag: "T-1", what: "bonding clip", placeFound: "section A", removedBy: by, removedAt: at };
    await expect(
      enterPart(LOCAL_ACTOR, { ...part, documentId: null, removedAt: new Date(NOW + DAY_MS).toISOString() }, NOW),
    ).rejects.toThrow(/has not come yet/);
    const photo = { site_id: siteId, kind: "part_photo", file_name: "clip.png" } as const;
    const { document_id: documentId } = await keepPaper(LOCAL_ACTOR, photo, fileRequest(samplePng(7)));
    const { item_id: itemId } = await enterPart(LOCAL_ACTOR, { ...part, documentId }, NOW);
    await expect(enterPart(LOCAL_ACTOR, { ...part, documentId }, NOW)).rejects.toThrow(/Tag "T-1" is on another part/);
    const custody = async () => (await view()).completeness.items.find((i) => i.item === "chain_of_custody")?.present;
    expect(await custody()).toBe(false);
    const hand = {
      siteId,
      itemId,
      to: "Store Keeper",
      storedAt: "shelf 4",
      sealed: true,
      signedFrom: by,
      signedTo: "Store Keeper",
      handedAt: new Date(NOW - 3_600_000).toISOString(),
    };
    await expect(enterHandover(LOCAL_ACTOR, { ...hand, from: "Somebody Else" }, NOW)).rejects.toThrow(
      new RegExp(`held by ${by}`),
    );
    await enterHandover(LOCAL_ACTOR, { ...hand, from: by }, NOW);
    await expect(enterHandover(LOCAL_ACTOR, { ...hand, from: by }, NOW)).rejects.toThrow(/held by Store Keeper/);
    expect(await custody()).toBe(true);
    expect((await view()).parts).toMatchObject([{ tag: "T-1", heldBy: "Store Keeper", transfers: [{ sealed: true }] }]);
  });

  test("each missing item has a worth, and together they are worth less than the whole recovery", async () => {
    const { completeness } = await view();
    const worth = completeness.items.filter((i) => !i.present).map((i) => i.worth ?? Number.NaN);
    expect(worth.length).toBeGreaterThan(0);
    expect(worth.every((w) => w >= 0)).toBe(true);
    expect(completeness.accepted).toBeGreaterThan(0.3);
    expect(completeness.accepted).toBeLessThan(0.9);
  });
});

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
    // In the units of who made the link,
    // until its reader asks for others.
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
    const { drawReport } = await import("../../lib/report/draw-report.ts");
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

describe("evidence archive", () => {
  const unzip = (bytes: Buffer): Promise<Map<string, Buffer>> =>
    new Promise((resolve, reject) => {
      const out = new Map<string, Buffer>();
      yauzl.fromBuffer(bytes, { lazyEntries: true }, (error, zip) => {
        if (error || !zip) return reject(error);
        zip.on("entry", (entry) =>
          zip.openReadStream(entry, (failed, stream) => {
            if (failed || !stream) return reject(failed);
            buffer(stream).then((content) => {
              out.set(entry.fileName, content);
              zip.readEntry();
            }, reject);
          }),
        );
        zip.on("end", () => resolve(out));
        zip.on("error", reject);
        zip.readEntry();
      });
    });

  test("is the evidence folder, intact when unpacked by another program, and leaves nothing behind", async () => {
    const { stream, fileName } = await makeEvidenceArchive(LOCAL_ACTOR, siteId, NOW);
    expect(fileName).toMatch(/^evidence-[A-Za-z0-9_-]+-\d{8}T\d{6}Z\.zip$/);
    const files = await unzip(Buffer.from(await new Response(stream).arrayBuffer()));
    const folder = mkdtempSync(path.join(data, "unzipped-"));
    for (const [name, content] of files) {
      expect(name).toMatch(/^evidence-[A-Za-z0-9_-]+\/[A-Za-z0-9][A-Za-z0-9._-]*$/);
      mkdirSync(path.dirname(path.join(folder, name)), { recursive: true });
      writeFileSync(path.join(folder, name), content);
    }
    const manifest = path.join(folder, fileName.replace(/\.zip$/, ""), "manifest.json");
    expect(await verifyEvidence(manifest)).toMatchObject({ intact: true });
    expect(readFileSync(manifest, "utf8")).toContain('"custody.csv"');
    await expect.poll(async () => (await import("node:fs")).readdirSync(path.join(data, "evidence-made"))).toEqual([]);
  });

  test("a download that is given up removes what it was made from", async () => {
    const { stream } = await makeEvidenceArchive(LOCAL_ACTOR, siteId, NOW);
    await stream.cancel();
    await expect.poll(async () => (await import("node:fs")).readdirSync(path.join(data, "evidence-made"))).toEqual([]);
  });
});

describe("ending a discovery", () => {
  test("keeps it on record with its reason, and the site is no claim site any more", async () => {
    const [open] = (await view()).discoveries;
    const body = { siteId, discoveryId: open?.discoveryId ?? "", how: "closed", reason: "claim paid", by } as const;
    await endDiscovery(LOCAL_ACTOR, body);
    await expect(endDiscovery(LOCAL_ACTOR, body)).rejects.toThrow(/No such discovery is open/);
    const after = await view();
    expect(after.discoveries).toMatchObject([{ ended: { how: "closed", reason: "claim paid", by } }]);
    expect(after.deadlines.some((d) => d.discoveryId !== null)).toBe(false);
    await refreshScores(LOCAL_ACTOR, { now: NOW });
    expect((await readQueue(LOCAL_ACTOR)).visits.some((v) => v.before_work !== undefined)).toBe(false);
  });
});

describe("a suspected defect", () => {
  test("reminds of its prudent day once a step, as suspicion, on the page and in the calendar, until somebody discovers it", async () => {
    const [suspect] = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<{ site_id: string; portfolio: string }[]>`SELECT site_id, portfolio FROM standing
        WHERE bonding_p >= 0.5 AND site_id <> ${siteId} ORDER BY bonding_p DESC, site_id LIMIT 1`,
    );
    if (!suspect) throw new Error("the demo has no suspect");
    const { site_id: id, portfolio } = suspect;
    const terms = { coverage_id: "P-SUSPECT", site_id: id, ...TERMS, notice_days: "90", starts_on: "2020-01-01" };
    await saveCoverageTerms(LOCAL_ACTOR, { change: false, terms });
    const since = (await readSiteCoverage(LOCAL_ACTOR, id, NOW))?.suspicion?.since ?? "";
    // Noon UTC of each day is the same day at the sites of the demo.
    const at = (day: number) => Date.parse(`${since}T12:00:00Z`) + day * DAY_MS;
    const own = async () =>
      (
        await readTransaction(
          LOCAL_ACTOR,
          (tx) => tx<{ subject: string; says: string }[]>`SELECT subject, detail ->> 'says' AS says FROM outbox_alert
            WHERE kind = 'coverage_deadline' AND subject LIKE '%/P-SUSPECT/%'`,
        )
      ).map((r) => ({ step: r.subject.split("/").at(-1), says: r.says }));
    for (const day of [0, 29, 30, 31, 60, 75, 76, 77, 83, 88, 90, 91, 92, 120])
      await Promise.all([writeReminders(database(), 1, at(day)), writeReminders(database(), 1, at(day))]);
    expect((await own()).map((r) => r.step).sort()).toEqual(["14", "2", "30", "60", "7", "passed"]);
    for (const { says } of await own()) expect(says).toMatch(/^Suspicion, not a discovery\./);
    const { reminders } = await readCoverage(LOCAL_ACTOR, { book: portfolio }, NOW);
    expect(reminders.filter((r) => r.siteId === id && r.isSuspicion)).toHaveLength(6);

    const link = await makeLink(LOCAL_ACTOR, { kind: "calendar", book: portfolio, madeFor: "Office" }, NOW);
    const feed = await readDeadlineFeed(link.path.split("/").at(-1) ?? "", at(10));
    const event = new ICAL.Component(ICAL.parse(feed))
      .getAllSubcomponents("vevent")
      .find((c) => String(c.getFirstPropertyValue("uid")).includes("P-SUSPECT"));
    expect(String(event?.getFirstPropertyValue("summary"))).toMatch(
      /^Suspected, not discovered: prudent day to notify/,
    );
    expect(String(event?.getFirstPropertyValue("dtstart"))).toBe(new Date(at(90)).toISOString().slice(0, 10));
    const triggers = event?.getAllSubcomponents("valarm").map((a) => String(a.getFirstPropertyValue("trigger")));
    expect(triggers).toEqual(["-P60D", "-P30D", "-P14D", "-P7D", "-P2D"]);

    await enterDiscovery(LOCAL_ACTOR, { siteId: id, what: "open bond", reason: "measured on site", by });
    await writeReminders(database(), 1, NOW);
    expect((await own()).filter((r) => r.says.startsWith("Suspicion"))).toHaveLength(6);
    // Those still unread are of no use any more: the contract's own clock runs.
    const then = (await readCoverage(LOCAL_ACTOR, { book: portfolio }, NOW)).reminders.filter((r) => r.siteId === id);
    expect(then.some((r) => r.isSuspicion)).toBe(false);
  });
});
