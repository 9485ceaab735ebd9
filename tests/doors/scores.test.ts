import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { unpackStrip } from "../../lib/core/packed-strip.ts";
import { BONDING_CAUSES, CAUSES } from "../../lib/core/records.ts";
import { decibans, logit } from "../../lib/core/statistics.ts";
import { buildQueue } from "../../lib/dispatch/queue.ts";
import { refreshScores, staleCount } from "../../lib/jobs/refresh-scores.ts";
import {
  ErrorDocument,
  ImportStatusDocument,
  PlanDocument,
  QueueDocument,
  ScoreDocument,
  WeatherDocument,
} from "../../lib/reads/documents.ts";
import { PlanQuery, readPlan } from "../../lib/reads/plan.ts";
import { readQueue } from "../../lib/reads/queue.ts";
import { readRankedSites } from "../../lib/reads/ranked-sites.ts";
import { RankedSitesQuery } from "../../lib/reads/ranked-sites-query.ts";
import { readScore } from "../../lib/reads/score.ts";
import { readSite } from "../../lib/reads/site.ts";
import { readSiteTimeline } from "../../lib/reads/site-timeline.ts";
import { readVisit } from "../../lib/reads/visit.ts";
import { readVisits } from "../../lib/reads/visits.ts";
import { readWeather } from "../../lib/reads/weather.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction, systemTransaction } from "../../lib/store/transaction.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { makeWorld } from "../../seed/world.ts";
import { truthOf, writeDemoDrop } from "../../seed/write-demo.ts";
import { dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

useTestDatabase();
const NOW = Date.UTC(2026, 10, 20);
const WORLD = { seed: "demo", sites: 120, days: 730, endDay: "2026-10-31" };
const truth = new Map(truthOf(makeWorld(WORLD)).map((t) => [t.siteId, t]));
let data = "";

beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-doors-"));
  process.env.RAINTRIP_DATA = data;
  const folder = path.join(data, "drop");
  await writeDemoDrop(folder, WORLD);
  await importPaths(LOCAL_ACTOR, [folder]);
  await refreshScores(LOCAL_ACTOR, { now: NOW });
});
afterAll(() => {
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

const stale = () => readTransaction(LOCAL_ACTOR, (tx) => staleCount(tx, NOW));
const everything = () => readScore(LOCAL_ACTOR, {});

describe("the demo fleet, scored", () => {
  test("planted open bonds with at least four wet episodes rank in the top quarter by probability", async () => {
    const { sites } = await everything();
    const ranked = [...sites].sort((a, b) => b.bonding_defect.p - a.bonding_defect.p).map((s) => s.site_id);
    const planted = sites.filter(
      (s) => truth.get(s.site_id)?.causes.includes("open_section_bond") && s.weather.wet_episodes >= 4,
    );
    expect(planted.length).toBeGreaterThanOrEqual(8);
    for (const s of planted) expect(ranked.indexOf(s.site_id), s.site_id).toBeLessThan(sites.length / 4);
  });

  test("sites with a bonding defect outrank those without: area under the curve above 0.85", async () => {
    const { sites } = await everything();
    const has = (id: string) =>
      truth.get(id)?.causes.some((c) => (BONDING_CAUSES as readonly string[]).includes(c)) ?? false;
    const yes = sites.filter((s) => has(s.site_id)).map((s) => s.bonding_defect.p);
    const no = sites.filter((s) => !has(s.site_id)).map((s) => s.bonding_defect.p);
    const wins = yes.reduce((sum, a) => sum + no.reduce((n, b) => n + (a > b ? 1 : a === b ? 0.5 : 0), 0), 0);
    expect(wins / (yes.length * no.length)).toBeGreaterThan(0.85);
  });

  test("recorded hazards are make_safe whatever the score, and only a minority of the fleet is", async () => {
    const queue = await readQueue(LOCAL_ACTOR);
    const urgent = new Map(queue.visits.map((v) => [v.site_id, v.urgency]));
    const hazards = [...truth.values()].filter((t) => t.hazard !== null);
    expect(hazards.length).toBeGreaterThanOrEqual(3);
    for (const t of hazards) expect(urgent.get(t.siteId), t.siteId).toBe("make_safe");
    expect(queue.visits.filter((v) => v.urgency === "make_safe").length).toBeLessThan(truth.size / 4);
  });
});

describe("readScore", () => {
  test("is the contract's document for every site, and each score is traced by decibans that sum to it", async () => {
    const document = await everything();
    ScoreDocument.parse(document);
    expect(document.sites).toHaveLength(truth.size);
    for (const s of document.sites) {
      const sum = s.evidence.reduce((total, e) => total + e.decibans, 0);
      expect(Math.abs(sum - decibans(logit(s.bonding_defect.p)))).toBeLessThan(1e-6);
      for (const e of s.evidence) expect(e.without_decibans === undefined).toBe(e.source === "prior");
      // The last item weighed is the only one for which both weights must agree.
      const last = s.evidence.at(-1);
      if (last && last.source !== "prior") expect(last.without_decibans).toBeCloseTo(last.decibans, 9);
      expect(Object.keys(s.causes).sort()).toEqual([...CAUSES].sort());
    }
  });

  test("as of an earlier time uses no later record and stores nothing", async () => {
    const early = Date.UTC(2025, 6, 1);
    const document = await readScore(LOCAL_ACTOR, { "as-of": early });
    const now = await everything();
    const total = (d: typeof document) =>
      d.sites.reduce((n, s) => n + s.weather.wet_episodes + s.weather.dry_episodes, 0);
    expect(document.as_of).toBe("2025-07-01T00:00:00.000Z");
    expect(total(document)).toBeLessThan(total(now));
    expect(await everything()).toEqual(now);
  });

  test("an unknown site is an error that says so", async () => {
    await expect(readScore(LOCAL_ACTOR, { site: "NOPE" })).rejects.toThrow(/no site "NOPE"/);
  });
});

describe("readQueue", () => {
  test("is the contract's document; ranks run from 1 and every site is in exactly one list", async () => {
    const queue = await readQueue(LOCAL_ACTOR);
    QueueDocument.parse(queue);
    expect(queue.visits.map((v) => v.rank)).toEqual(queue.visits.map((_, i) => i + 1));
    const all = [...queue.visits.map((v) => v.site_id), ...queue.watch.map((w) => w.site_id)].sort();
    expect(all).toEqual([...truth.keys()].sort());
  });

  test("the rank given in the database is the one that the pure queue gives to the same visits", async () => {
    const queue = await readQueue(LOCAL_ACTOR);
    const order = ["make_safe", "urgent", "planned"];
    const again = [...queue.visits].sort(
      (a, b) =>
        order.indexOf(a.urgency) - order.indexOf(b.urgency) ||
        (b.expected_loss_avoided ?? 0) / (b.visit_cost ?? 1) - (a.expected_loss_avoided ?? 0) / (a.visit_cost ?? 1) ||
        (b.expected_loss ?? 0) - (a.expected_loss ?? 0) ||
        (a.site_id < b.site_id ? -1 : 1),
    );
    expect(again.map((v) => v.site_id)).toEqual(queue.visits.map((v) => v.site_id));
    expect(
      buildQueue({ sites: [], crews: [], visits: [], accountCurrency: "USD", rates: new Map(), asOf: NOW }).visits,
    ).toEqual([]);
  });

  test("no checklist item orders what makes the hazard, and each carries a caution and what to accept", async () => {
    const queue = await readQueue(LOCAL_ACTOR);
    const items = queue.visits.flatMap((v) => v.checklist);
    expect(items.length).toBeGreaterThan(50);
    for (const item of items) {
      expect(item.caution.length).toBeGreaterThan(20);
      expect(item.accept.length).toBeGreaterThan(3);
      expect(item.says).not.toMatch(/^(open|disconnect|unplug|reset|wet|spray)\b/i);
    }
  });
});

describe("pages", () => {
  test("show the numbers of the score document, to the last digit", async () => {
    const { sites } = await everything();
    const list = await readRankedSites(LOCAL_ACTOR, RankedSitesQuery.parse({ sort: "probability" }));
    for (const row of list.rows) {
      const s = sites.find((x) => x.site_id === row.siteId);
      expect(row.bonding).toEqual(s?.bonding_defect);
      expect(row.energized).toEqual(s?.energized_metal);
      expect(row.rateRatio).toBe(s?.weather.rate_ratio);
      expect(row.qValue).toBe(s?.weather.q_value);
    }
    const top = list.rows[0]?.siteId as string;
    const page = await readSite(LOCAL_ACTOR, top);
    expect(page?.score).toEqual(sites.find((x) => x.site_id === top));
    expect(page?.episodesTotal).toBeGreaterThan(0);
  });

  test("filter, sort and page the list by the URL alone", async () => {
    const read = (q: Record<string, string>) => readRankedSites(LOCAL_ACTOR, RankedSitesQuery.parse(q));
    const all = await read({});
    expect(all.rows).toHaveLength(50);
    expect(all.matching).toBe(truth.size);
    expect((await read({ page: "3" })).rows).toHaveLength(20);
    const safe = await read({ urgency: "make_safe" });
    expect(safe.rows.every((r) => r.urgency === "make_safe")).toBe(true);
    expect(safe.matching).toBe(all.byUrgency.make_safe);
    const book = await read({ portfolio: all.portfolios[0] as string });
    expect(book.rows.every((r) => r.portfolio === all.portfolios[0])).toBe(true);
    const found = await read({ search: "s007" });
    expect(found.rows.map((r) => r.siteId)).toEqual(["S007"]);
    expect((await read({ search: "%" })).matching).toBe(0);
    const names = (await read({ sort: "name" })).rows.map((r) => r.name);
    expect(names).toEqual([...names].sort());
    // Nonsense in the URL falls back to the default instead of failing.
    expect((await read({ sort: "drop table", page: "-3" })).rows[0]).toEqual(all.rows[0]);
  });

  test("the strip has 365 days and as many onsets as the log had in them", async () => {
    const list = await readRankedSites(LOCAL_ACTOR, RankedSitesQuery.parse({ sort: "probability" }));
    const row = list.rows[0];
    const strip = unpackStrip(row?.strip ?? "");
    expect([strip.rainMm.length, strip.dewHours.length, strip.onsets.length]).toEqual([365, 365, 365]);
    const page = await readSite(LOCAL_ACTOR, row?.siteId as string);
    const first = Date.parse(`${strip.endDay}T00:00:00Z`) - 364 * 86_400_000;
    const inYear = page?.episodes.filter((e) => Date.parse(e.onset) > first + 86_400_000).length ?? 0;
    const drawn = strip.onsets.reduce((a, b) => a + b, 0);
    expect(Math.abs(drawn - inYear)).toBeLessThanOrEqual(2);
  });

  test("the time line keeps every episode, by the day for a year and by the hour for a month", async () => {
    const list = await readRankedSites(LOCAL_ACTOR, RankedSitesQuery.parse({ sort: "probability" }));
    const id = list.rows[0]?.siteId as string;
    const year = await readSiteTimeline(LOCAL_ACTOR, id);
    expect(year?.step).toBe("day");
    expect(year?.rainMm.length).toBeGreaterThanOrEqual(365);
    const to = Date.UTC(2026, 9, 31);
    const month = await readSiteTimeline(LOCAL_ACTOR, id, { from: to - 20 * 86_400_000, to });
    expect(month).toMatchObject({ step: "hour" });
    expect(month?.rainMm).toHaveLength(480);
    expect(await readSiteTimeline(LOCAL_ACTOR, "NOPE")).toBeNull();
    expect(await readSite(LOCAL_ACTOR, "NOPE")).toBeNull();
  });

  test("a site whose first score is being computed is told to wait for, not an error and not nothing", async () => {
    const id = "S-UNSCORED";
    await systemTransaction(
      LOCAL_ACTOR,
      (tx) => tx`INSERT INTO site (account_id, site_id, name, portfolio, latitude, longitude, time_zone, dc_kw, ac_kw)
        SELECT account_id, ${id}, 'Not scored', portfolio, latitude, longitude, time_zone, dc_kw, ac_kw FROM site LIMIT 1`,
    );
    await expect(readSiteTimeline(LOCAL_ACTOR, id)).rejects.toMatchObject({ code: "busy" });
    expect(await readSite(LOCAL_ACTOR, id)).toBeNull();
    await systemTransaction(LOCAL_ACTOR, (tx) => tx`DELETE FROM site WHERE site_id = ${id}`);
  });

  test("each visit of the queue has its page", async () => {
    const { visits } = await readVisits(LOCAL_ACTOR);
    const first = await readVisit(LOCAL_ACTOR, visits[0]?.visit_id as string);
    expect(first?.visit.checklist.length).toBeGreaterThan(0);
    expect(first?.site.siteId).toBe(visits[0]?.site_id);
    expect(await readVisit(LOCAL_ACTOR, "nope")).toBeNull();
  });
});

describe("readWeather", () => {
  test("is the contract's document; totals agree with the hours, and unknown stays unknown", async () => {
    const document = await readWeather(LOCAL_ACTOR, "ALD01", { from: Date.UTC(2026, 4, 1), to: Date.UTC(2026, 5, 1) });
    WeatherDocument.parse(document);
    expect(document.hours).toHaveLength(31 * 24);
    expect(document.hours[0]?.observed_at).toBe("2026-05-01T01:00:00.000Z");
    const known = document.hours.filter((h) => h.precipitation_mm !== null);
    expect(document.totals.known_hours).toBe(known.length);
    expect(document.totals.precipitation_mm).toBeCloseTo(
      known.reduce((sum, h) => sum + (h.precipitation_mm ?? 0), 0),
      2,
    );
    const later = await readWeather(LOCAL_ACTOR, "ALD01", { from: Date.UTC(2030, 0, 1), to: Date.UTC(2030, 0, 2) });
    expect(later.totals).toEqual({ precipitation_mm: 0, known_hours: 0, unknown_hours: 24 });
    expect(later.hours.every((h) => h.wet === null)).toBe(true);
    await expect(readWeather(LOCAL_ACTOR, "NOPE", { from: 0, to: 3_600_000 })).rejects.toThrow(/no station/);
  });
});

describe("refreshScores", () => {
  test("offers by lot a share of watched sites that follows the month and not the belief", async () => {
    const { audit, visits, watch } = await readVisits(LOCAL_ACTOR);
    expect(audit.sharePct).toBe(5);
    // Of all visits, those offered are one in twenty.
    expect(audit.sites.length).toBe(Math.round((visits.length * 0.05) / 0.95));
    expect(watch.map((w) => w.siteId)).toEqual(expect.arrayContaining(audit.sites.map((s) => s.siteId)));
    expect((await readVisits(LOCAL_ACTOR)).audit).toEqual(audit);
  });

  test("a plan for the demo's crews keeps shifts, names each visit once with its reason, and is the same for the same seed", async () => {
    const query = PlanQuery.parse({ from: "2026-11-02", days: 3, seed: 5, effort: 60 });
    const blind: string[][] = [];
    const plan = PlanDocument.parse(await readPlan(LOCAL_ACTOR, query, (siteIds) => blind.push(siteIds)));
    const { visits } = await readQueue(LOCAL_ACTOR);
    const stops = plan.routes.flatMap((route) => route.stops);
    expect(stops.length).toBeGreaterThan(5);
    expect([...stops, ...plan.unserved].map((v) => v.visit_id).sort()).toEqual(visits.map((v) => v.visit_id).sort());
    expect(plan.unserved.every((u) => u.why.length > 10)).toBe(true);
    for (const route of plan.routes) {
      // The demo's crews work from 7 to 17 o'clock; times come with the offset of the crew's zone.
      expect(route.leave >= `${route.date}T07:00:00-06:00`, route.leave).toBe(true);
      expect(route.return <= `${route.date}T17:00:00-06:00`, route.return).toBe(true);
      let at = Date.parse(route.leave);
      for (const stop of route.stops) {
        const hours = visits.find((v) => v.visit_id === stop.visit_id)?.hours_on_site ?? 0;
        // A second of rounding.
        expect(Date.parse(stop.arrive) - at + 1000).toBeGreaterThanOrEqual(stop.drive_minutes * 60_000 - 3000);
        expect(stop.start >= stop.arrive).toBe(true);
        expect(Math.abs(Date.parse(stop.depart) - Date.parse(stop.start) - hours * 3_600_000)).toBeLessThan(2000);
        at = Date.parse(stop.depart);
      }
    }
    if (plan.bound !== null) expect(plan.bound).toBeGreaterThanOrEqual(plan.objective);
    // Nothing is known of the sky of those days, and that is said.
    expect(blind[0]?.length).toBeGreaterThan(0);
    expect(await readPlan(LOCAL_ACTOR, query)).toEqual(plan);
  });

  test("does nothing when nothing changed, and only the touched sites after a new inspection", async () => {
    expect(await stale()).toBe(0);
    expect(await refreshScores(LOCAL_ACTOR, { now: NOW })).toEqual({ scored: 0 });
    const before = await readScore(LOCAL_ACTOR, { site: "S001" });
    const folder = dropFolder({
      "inspections.csv": "site_id,inspected_at,check,outcome\nS001,2026-10-20,egc_size,fail\n",
    });
    await importPaths(LOCAL_ACTOR, [folder]);
    expect(await stale()).toBe(1);
    expect(await refreshScores(LOCAL_ACTOR, { now: NOW })).toEqual({ scored: 1 });
    const after = await readScore(LOCAL_ACTOR, { site: "S001" });
    expect(after.sites[0]?.causes.egc_undersized).toBeGreaterThan(before.sites[0]?.causes.egc_undersized as number);
    const history = (await readSite(LOCAL_ACTOR, "S001"))?.history;
    // What moved it is the new finding, and the moves sum to the change of the log-odds.
    expect(history).toHaveLength(2);
    const [was, is] = history ?? [];
    const odds = (p: number) => 10 * Math.log10(p / (1 - p));
    const moved = is?.moved?.moves.reduce((sum, move) => sum + move.decibans, is.moved.rest) ?? 0;
    expect(moved).toBeCloseTo(odds(is?.p ?? 0.5) - odds(was?.p ?? 0.5), 6);
    expect(is?.moved?.program).toBe(false);
    const kept = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx`SELECT count(*)::int AS n FROM score WHERE site_id = 'S001'`,
    );
    expect(kept[0]?.n).toBe(2);
  });

  test("a fleet whose last pass was lost with its process is not fresh, and the next round makes it whole", async () => {
    const before = await readQueue(LOCAL_ACTOR);
    await systemTransaction(LOCAL_ACTOR, (tx) => tx`UPDATE standing SET ranked = false, rank = NULL, q_value = NULL`);
    expect(await stale()).toBe(truth.size);
    expect(await refreshScores(LOCAL_ACTOR, { now: NOW })).toEqual({ scored: 0 });
    expect(await stale()).toBe(0);
    expect(await readQueue(LOCAL_ACTOR)).toEqual(before);
  });

  test("while one site is scored anew the queue keeps every visit", async () => {
    const before = await readQueue(LOCAL_ACTOR);
    const site = before.visits[0]?.site_id ?? "";
    await systemTransaction(LOCAL_ACTOR, (tx) => tx`UPDATE site SET revision = revision + 1 WHERE site_id = ${site}`);
    const seen: number[] = [];
    await refreshScores(LOCAL_ACTOR, {
      now: NOW,
      onProgress: () => {
        readQueue(LOCAL_ACTOR).then((queue) => seen.push(queue.visits.length));
      },
    });
    await expect.poll(() => seen).toEqual([before.visits.length]);
    expect(await readQueue(LOCAL_ACTOR)).toEqual(before);
  });

  test("films of water are kept once a station and month, and the scores are the same without them or with void ones", async () => {
    const before = await everything();
    const films = () =>
      readTransaction(
        LOCAL_ACTOR,
        (tx) => tx<
          { key: string; version: string; input: string; bytes: string }[]
        >`SELECT station_id || '/' || helpers || '/' || month AS key, xmin::text AS version, input,
            encode(rain || dew || signs, 'base64') AS bytes FROM film_month ORDER BY key`,
      );
    const rescore = async () => {
      await systemTransaction(LOCAL_ACTOR, (tx) => tx`DELETE FROM standing`);
      await refreshScores(LOCAL_ACTOR, { now: NOW });
    };
    const made = await films();
    expect(made.length).toBeGreaterThan(20);
    await rescore();
    expect(await films(), "nothing was computed anew").toEqual(made);
    await systemTransaction(LOCAL_ACTOR, async (tx) => {
      await tx`DELETE FROM film_month WHERE month < '2025-06-01'`;
      await tx`UPDATE film_month SET input = 'of another model', signs = decode(repeat('00', length(signs)), 'hex') WHERE month >= '2025-09-01'`;
    });
    await rescore();
    const again = await films();
    expect(again.map(({ key, input, bytes }) => ({ key, input, bytes }))).toEqual(
      made.map(({ key, input, bytes }) => ({ key, input, bytes })),
    );
    expect(await everything()).toEqual(before);
  });

  test("gives the same scores again from the same records", async () => {
    const before = await everything();
    await systemTransaction(LOCAL_ACTOR, (tx) => tx`DELETE FROM standing`);
    await refreshScores(LOCAL_ACTOR, { now: NOW });
    expect(await everything()).toEqual(before);
  });
});

describe("documents", () => {
  test("refuse what the contract does not allow", () => {
    expect(ErrorDocument.safeParse({ error: { code: "x" } }).success).toBe(false);
    expect(
      ImportStatusDocument.safeParse({ import_id: "x", status: "asleep", error: null, files: [], set_aside_file: null })
        .success,
    ).toBe(false);
  });
});
