import { mkdirSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import { buffer } from "node:stream/consumers";
import ICAL from "ical.js";
import { describe, expect, test } from "vitest";
import yauzl from "yauzl";
import { writeReminders } from "../../../lib/jobs/coverage-reminders.ts";
import { refreshScores } from "../../../lib/jobs/refresh-scores.ts";
import { readCoverage } from "../../../lib/reads/coverage.ts";
import { readSiteCoverage } from "../../../lib/reads/coverage-site.ts";
import { readDeadlineFeed } from "../../../lib/reads/deadline-feed.ts";
import { readQueue } from "../../../lib/reads/queue.ts";
import { verifyEvidence } from "../../../lib/report/verify-evidence.ts";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { readTransaction } from "../../../lib/store/transaction.ts";
import { makeLink } from "../../../lib/writes/access-link.ts";
import { saveCoverageTerms } from "../../../lib/writes/coverage-terms.ts";
import { endDiscovery, enterDiscovery } from "../../../lib/writes/discovery.ts";
import { makeEvidenceArchive } from "../../../lib/writes/evidence-archive.ts";
import { by, DAY_MS, data, database, NOW, siteId, TERMS, view } from "./scene.ts";

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
