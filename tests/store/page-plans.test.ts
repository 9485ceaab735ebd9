import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import type postgres from "postgres";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { readAlertCount, readAlerts } from "../../lib/reads/alerts.ts";
import { readSiteCoverage } from "../../lib/reads/coverage-site.ts";
import { readExposureView } from "../../lib/reads/exposure.ts";
import { readOpenFixes } from "../../lib/reads/fixes.ts";
import { readGoingOut } from "../../lib/reads/going-out.ts";
import { readGroundingPath } from "../../lib/reads/grounding-path.ts";
import { readSiteMakeSafe } from "../../lib/reads/make-safe.ts";
import { type OpenMakeSafes, OpenMakeSafesQuery } from "../../lib/reads/make-safe-view.ts";
import { readOpenMakeSafes } from "../../lib/reads/open-make-safes.ts";
import { readQueue } from "../../lib/reads/queue.ts";
import { readRankedSites } from "../../lib/reads/ranked-sites.ts";
import { RankedSitesQuery } from "../../lib/reads/ranked-sites-query.ts";
import { readScore } from "../../lib/reads/score.ts";
import { readSite } from "../../lib/reads/site.ts";
import { readSiteTimeline } from "../../lib/reads/site-timeline.ts";
import { readToday } from "../../lib/reads/today.ts";
import { readVisits } from "../../lib/reads/visits.ts";
import { VISITS_PAGE, VisitsQuery } from "../../lib/reads/visits-view.ts";
import { readWeather } from "../../lib/reads/weather.ts";
import { readWeatherPicture } from "../../lib/reads/weather-picture.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction, systemTransaction } from "../../lib/store/transaction.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { writeLargeFleet } from "../../seed/write-large-fleet.ts";
import { adminConnection } from "../support/admin-connection.ts";
import { storedColumns } from "../support/stored-columns.ts";
import { useTestDatabase } from "../support/test-database.ts";

const db = useTestDatabase();
const FLEET = { sites: 8, years: 0.25, seed: "plans" };
const SITE = "S00001";
const END = Date.UTC(2026, 10, 1);

/** Tables that grow with time, not with the fleet alone, and rows of other sites for each. */
const FILLED: Record<string, string> = {
  site: `SELECT (jsonb_populate_record(s, jsonb_build_object('site_id', 'X' || n, 'name', 'Site ' || n))).*
    FROM site s, generate_series(1, 3000) n WHERE s.site_id = '${SITE}'`,
  standing: `SELECT (jsonb_populate_record(s, jsonb_build_object('site_id', 'X' || n, 'name', 'Site ' || n, 'bonding_p', random(),
      'energized_p', random(), 'rank', NULL, 'urgency', CASE n % 50 WHEN 0 THEN 'urgent' WHEN 1 THEN 'planned' ELSE 'watch' END,
      'urgency_order', CASE n % 50 WHEN 0 THEN 1 WHEN 1 THEN 2 ELSE 3 END,
      'last_inspected', CASE WHEN n % 3 > 0 THEN timestamptz '2026-10-01' - n * interval '7 hours' END))).*
    FROM standing s, generate_series(1, 3000) n WHERE s.site_id = '${SITE}'`,
  score: `SELECT (jsonb_populate_record(NULL::score, to_jsonb(s) || jsonb_build_object('site_id', 'X' || n, 'input_hash', 'h' || m,
      'as_of', s.as_of - m * interval '1 day', 'result', '{}'::jsonb, 'learning_basis', NULL))).*
    FROM score s, generate_series(1, 1000) n, generate_series(1, 20) m WHERE s.site_id = '${SITE}'`,
  fault: `SELECT 1, 'X' || n, 'I1', timestamptz '2026-08-01' + m * interval '11 hours', '1', timestamptz '2026-08-02' + m * interval '11 hours'
    FROM generate_series(1, 300) n, generate_series(1, 200) m`,
  telemetry: `SELECT 1, 'X' || n, 'I1', timestamptz '2026-01-01' + m * interval '1 day', timestamptz '2026-01-02' + m * interval '1 day', 'running'
    FROM generate_series(1, 500) n, generate_series(1, 20) m`,
  reading: `SELECT 1, 'X' || n, 'I1', timestamptz '2026-01-01' + m * interval '1 hour', 1000
    FROM generate_series(1, 500) n, generate_series(1, 20) m`,
  inspection: `SELECT (jsonb_populate_record(NULL::inspection, jsonb_build_object('account_id', 1, 'site_id', 'X' || n, 'inspected_at',
      timestamptz '2026-01-01' + m * interval '1 hour', 'inspected_day_only', false, 'check', 'egc_continuous', 'section_id', '', 'inverter_id', '',
      'point_a', '', 'point_b', '', 'quantity', '', 'method', '', 'outcome', 'pass'))).*
    FROM generate_series(1, 1000) n, generate_series(1, 10) m`,
  weather_month: `SELECT account_id, 'X' || n, month, precipitation, temperature, dew_point, humidity, wind, thunder
    FROM weather_month, generate_series(1, 300) n WHERE station_id = 'W00001'`,
  film_month: `SELECT account_id, 'X' || n, helpers, month, input, rain, dew, signs, end_water
    FROM film_month, generate_series(1, 300) n WHERE station_id = 'W00001'`,
  visit_edit: `SELECT 1, gen_random_uuid(), 'V' || n, 'X' || n, 'visit', 'note', '"x"', timestamptz '2026-01-01', 'local', 'd', m
    FROM generate_series(1, 2000) n, generate_series(1, 10) m`,
  visit_photo: `SELECT 1, gen_random_uuid(), 'V' || n, 'X' || n, 'x', 'x', 'image/png', 1 FROM generate_series(1, 20000) n`,
  notice_attempt: `SELECT 1, gen_random_uuid(), 1 FROM generate_series(1, 20000) n`,
};
const GROWING = Object.keys(FILLED).filter((table) => table !== "site" && table !== "standing");

const scratch = mkdtempSync(path.join(os.tmpdir(), "raintrip-plans-"));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

beforeAll(async () => {
  process.env.RAINTRIP_DATA = path.join(scratch, "data");
  await writeLargeFleet(path.join(scratch, "drop"), FLEET);
  await importPaths(LOCAL_ACTOR, [path.join(scratch, "drop")]);
  await refreshScores(LOCAL_ACTOR, { now: END });
  const admin = adminConnection(db());
  // Rows of sites that are not there: what they belong to does not matter to a plan.
  await admin`SET session_replication_role = replica`;
  for (const [table, rows] of Object.entries(FILLED)) {
    const columns = await admin.unsafe(`SELECT * FROM (${rows}) r LIMIT 0`);
    const all =
      await admin`SELECT attname FROM pg_attribute WHERE attrelid = ${table}::regclass AND attnum > 0 ORDER BY attnum`;
    const names = all.slice(0, columns.columns.length).map((a) => `"${a.attname}"`);
    const taken = (await storedColumns(admin, table)).filter((name) => names.includes(name)).join();
    await admin.unsafe(
      `INSERT INTO ${table} (${taken}) SELECT ${taken} FROM (${rows}) r (${names.join()}) ON CONFLICT DO NOTHING`,
    );
  }
  await admin`ANALYZE`;
  for (const row of await admin`SELECT relname FROM pg_class WHERE relkind = 'r' AND reltuples < 500`)
    tiny.add(row.relname);
  await admin.end();
}, 240_000);

interface Plan {
  "Node Type": string;
  "Relation Name"?: string;
  Plans?: Plan[];
}

/** Relations of a few rows, as the partition of months to come, for which an index is a detour. */
const tiny = new Set<string>();

const scannedIn = (plan: Plan): string[] => [
  ...(plan["Node Type"] === "Seq Scan" && !tiny.has(plan["Relation Name"] ?? "") ? [plan["Relation Name"] ?? ""] : []),
  ...(plan.Plans ?? []).flatMap(scannedIn),
];
const tableOf = (relation: string) => relation.replace(/_(\d{6}|outlying)$/, "");

/** Every query that a page sends, with what the server's plan for it reads from end to end. */
async function scans(page: () => Promise<unknown>): Promise<{ query: string; tables: string[] }[]> {
  const { sql } = db();
  const options = sql.options as unknown as { debug: unknown };
  const sent = new Map<string, postgres.ParameterOrJSON<never>[]>();
  options.debug = (_connection: number, query: string, parameters: postgres.ParameterOrJSON<never>[]) => {
    if (/^\s*(SELECT|WITH)/i.test(query) && !query.includes("set_config")) sent.set(query, parameters);
  };
  try {
    await page();
  } finally {
    options.debug = undefined;
  }
  expect(sent.size).toBeGreaterThan(0);
  const out = [];
  for (const [query, parameters] of sent) {
    const [row] = await readTransaction(LOCAL_ACTOR, (tx) =>
      tx.unsafe<{ "QUERY PLAN": { Plan: Plan }[] }[]>(`EXPLAIN (FORMAT JSON) ${query}`, parameters),
    );
    const tables = scannedIn(row?.["QUERY PLAN"][0]?.Plan as Plan).map(tableOf);
    out.push({ query, tables });
  }
  return out;
}

const ranked = (query: Record<string, string>) => () => readRankedSites(LOCAL_ACTOR, RankedSitesQuery.parse(query));
const PAGES: Record<string, () => Promise<unknown>> = {
  "ranked sites": ranked({}),
  "ranked sites, searched": ranked({ search: "Site 12", urgency: "watch", sort: "name" }),
  site: () => readSite(LOCAL_ACTOR, SITE),
  "site's timeline of a year": () => readSiteTimeline(LOCAL_ACTOR, SITE, {}),
  "site's weather": () => readWeatherPicture(LOCAL_ACTOR, SITE),
  "site's grounding path": () => readGroundingPath(LOCAL_ACTOR, SITE),
  "site's emergencies": () => readSiteMakeSafe(LOCAL_ACTOR, SITE),
  "site's contracts": () => readSiteCoverage(LOCAL_ACTOR, SITE, END),
  "score of a site": () => readScore(LOCAL_ACTOR, { site: SITE }),
  queue: () => readQueue(LOCAL_ACTOR),
  visits: () => readVisits(LOCAL_ACTOR),
  "open fixes": () => readOpenFixes(LOCAL_ACTOR),
  "today's stops": () => readToday(LOCAL_ACTOR, {}),
  alerts: () => readAlerts(LOCAL_ACTOR),
  "count of alerts": () => readAlertCount(LOCAL_ACTOR),
  exposure: () => readExposureView(LOCAL_ACTOR, {}),
  "who is told": () => readGoingOut(LOCAL_ACTOR),
  "hours of a station": () => readWeather(LOCAL_ACTOR, "W00001", { from: END - 7 * 86_400_000, to: END }),
};

// The list of imports goes through Prisma by its key and its index of newest; the audit page reads all of the log, because it
// checks every entry of the chain.
describe("pages over tables that grow", () => {
  test.each(Object.entries(PAGES))("%s reads none of them from end to end", async (_name, page) => {
    const bad = (await scans(page)).filter(({ tables }) => tables.some((table) => GROWING.includes(table)));
    expect(bad).toEqual([]);
  });

  test("a table that is read from end to end is found", async () => {
    expect(GROWING.filter((table) => tiny.has(table))).toEqual([]);
    const found = await scans(() =>
      readTransaction(LOCAL_ACTOR, (tx) => tx`SELECT count(*) FROM fault WHERE code = '1'`),
    );
    expect(found.flatMap(({ tables }) => tables)).toContain("fault");
  });

  // Not by the clock, which a busy machine moves: what makes the page dear are ways to the server and bytes of a row.
  test("the ranked list costs few queries and few bytes a row", async () => {
    const sent = await scans(ranked({}));
    expect(sent.length).toBeLessThanOrEqual(9);
    const list = await readRankedSites(LOCAL_ACTOR, RankedSitesQuery.parse({ sort: "name" }));
    expect(list.rows).toHaveLength(50);
    expect(JSON.stringify(list.rows).length / 50).toBeLessThan(1400);
  });

  const sorts = ["rank", "probability", "energized", "name", "inspected", "rate_ratio"];
  test.each(sorts.flatMap((sort) => ["asc", "desc"].map((order) => ({ sort, order }))))(
    "the ranked list by $sort $order is read in that order, not sorted out of the fleet",
    async ({ sort, order }) => {
      const list = (await scans(ranked({ sort, order }))).find(({ query }) => query.includes("OFFSET"));
      expect(list?.tables).not.toContain("standing");
    },
  );
});

/** Every page of a list, by asking for the next until there is none. */
async function pagesOf<Page, Next>(
  read: (from: Next | null) => Promise<Page>,
  next: (page: Page) => Next | null,
): Promise<Page[]> {
  const pages = [await read(null)];
  for (let at = next(pages[0] as Page); at !== null; at = next(pages.at(-1) as Page)) pages.push(await read(at));
  return pages;
}

// The database tests of the doors hold fewer sites than a page; here are thousands.
describe("long lists come a page at a time, and nothing falls between two pages", () => {
  beforeAll(async () => {
    await systemTransaction(LOCAL_ACTOR, async (tx) => {
      const [{ proposal }] = await tx<[{ proposal: object }]>`
        SELECT proposal FROM standing WHERE proposal->'visit' <> 'null' ORDER BY site_id LIMIT 1`;
      await tx`
        WITH placed AS (SELECT site_id, row_number() OVER (ORDER BY urgency_order, site_id) AS place FROM standing WHERE urgency <> 'watch')
        UPDATE standing st SET rank = placed.place, visit_id = 'V-' || st.site_id,
          proposal = jsonb_set(jsonb_set(${tx.json(proposal as never)}, '{visit,visit_id}', to_jsonb('V-' || st.site_id)), '{visit,site_id}', to_jsonb(st.site_id))
        FROM placed WHERE placed.site_id = st.site_id`;
      await tx`UPDATE standing SET rank = NULL, visit_id = NULL, proposal = '{"visit": null, "watch": {"reason": "r", "would_change": "w"}}'
        WHERE urgency = 'watch'`;
      await tx`INSERT INTO make_safe (account_id, make_safe_id, site_id, opened_by, reason, covers)
        SELECT account_id, 'm-' || site_id, site_id, 'queue', 'r', '[]' FROM site WHERE site_id LIKE 'X1__'`;
      await tx`INSERT INTO make_safe_event (account_id, make_safe_id, seq, kind, done_by, detail)
        SELECT account_id, make_safe_id, 1, 'alert', '', '{}' FROM make_safe`;
      await tx`INSERT INTO make_safe_event (account_id, make_safe_id, seq, kind, done_by, detail)
        SELECT account_id, make_safe_id, 2, 'acknowledged', 'D. Tester', '{}' FROM make_safe WHERE site_id LIKE 'X10_'`;
    });
  });

  test("the queue by rank, with the first of each urgency", async () => {
    const pages = await pagesOf(
      (from: number | null) => readVisits(LOCAL_ACTOR, VisitsQuery.parse(from === null ? {} : { from })),
      (page) => page.nextRank,
    );
    const ranks = pages.flatMap((page) => page.visits.map((visit) => visit.rank));
    const queued = pages[0]?.queued ?? [];
    expect(pages.length).toBeGreaterThan(2);
    expect(pages.every((page) => page.visits.length <= VISITS_PAGE)).toBe(true);
    expect(ranks).toEqual(Array.from({ length: queued.reduce((sum, { n }) => sum + n, 0) }, (_, i) => i + 1));
    for (const { urgency, n, from } of queued) {
      const visits = pages.flatMap((page) => page.visits).filter((visit) => visit.site_id.startsWith("X"));
      const { visits: first } = await readVisits(LOCAL_ACTOR, VisitsQuery.parse({ from }));
      expect(first[0]?.rank).toBe(from);
      expect(visits.length).toBeGreaterThan(0);
      const [count] = await readTransaction(
        LOCAL_ACTOR,
        (tx) => tx<{ n: number }[]>`SELECT count(*)::int AS n FROM standing WHERE urgency = ${urgency}`,
      );
      expect(count?.n).toBe(n);
    }
  });

  test("the watch list by site", async () => {
    const pages = await pagesOf(
      (watch: string | null) => readVisits(LOCAL_ACTOR, VisitsQuery.parse(watch === null ? {} : { watch })),
      (page) => page.nextWatch,
    );
    const sites = pages.flatMap((page) => page.watch.map((site) => site.siteId));
    expect(pages.every((page) => page.watch.length <= VISITS_PAGE)).toBe(true);
    expect(new Set(sites).size).toBe(sites.length);
    expect(sites).toHaveLength(pages[0]?.watched ?? -1);
  });

  test("emergencies under way, those that nobody has first, with all of them counted on each page", async () => {
    const pages = await pagesOf(
      (after: string | null) =>
        readOpenMakeSafes(LOCAL_ACTOR, OpenMakeSafesQuery.parse({ most: 30, ...(after === null ? {} : { after }) })),
      (page) => page.next,
    );
    const shown = pages.flatMap((page) => page.shown);
    const [{ total, states }] = pages as [OpenMakeSafes];
    expect(total).toBe(100);
    expect(Object.fromEntries(states.map(({ state, n }) => [state, n]))).toEqual({
      nobody: 90,
      taken: 10,
      isolated: 0,
      watched: 0,
    });
    expect(new Set(shown.map((one) => one.siteId)).size).toBe(total);
    expect(shown).toHaveLength(total);
    expect(shown.slice(0, 90).every((one) => one.hasIt === null)).toBe(true);
    expect(pages.map((page) => page.left)).toEqual([70, 40, 10, 0]);
    const ranked = await readRankedSites(LOCAL_ACTOR, RankedSitesQuery.parse({}));
    expect(ranked.openMakeSafes).toMatchObject({ total: 100, left: 96 });
    expect(JSON.stringify(ranked.openMakeSafes).length).toBeLessThan(4000);
  });
});
