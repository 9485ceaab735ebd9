import { describe, expect, test } from "vitest";
import { contractTroubles } from "../../../lib/coverage/contract-troubles.ts";
import { bookDeadlines } from "../../../lib/jobs/coverage-deadlines.ts";
import { readBooks } from "../../../lib/reads/books.ts";
import { readCoverage } from "../../../lib/reads/coverage.ts";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { contractsOf, registerSites } from "../../../lib/store/coverage-rows.ts";
import { readTransaction, writeTransaction } from "../../../lib/store/transaction.ts";
import { NOW } from "./scene.ts";

describe("the register and the books, which read no more than they show", () => {
  const contracts = (tx: Parameters<Parameters<typeof readTransaction>[1]>[0]) => contractsOf(tx, null);

  test("find, count and doubt what all contracts do, read one by one", async () => {
    await writeTransaction(LOCAL_ACTOR, async (tx) => {
      await tx`INSERT INTO coverage (account_id, site_id, coverage_id, kind, provider, starts_on, ends_on, limit_amount, deductible_amount, currency)
        SELECT account_id, site_id, 'R' || k || '-' || site_id, (ARRAY['workmanship', 'property_insurance'])[1 + k % 2],
          CASE k WHEN 3 THEN '50 %_of \\ it' END, DATE '2001-01-01' + k * 200, DATE '2001-01-01' + k * 200 + (ARRAY[100, 400, 700, -5])[1 + k % 4],
          CASE k % 3 WHEN 0 THEN NULL ELSE 100 * k END, CASE k % 5 WHEN 0 THEN 5000 END, CASE k % 2 WHEN 0 THEN 'USD' END
        FROM site, generate_series(0, 7) k WHERE site_id IN (SELECT site_id FROM site ORDER BY site_id LIMIT 6)`;
      return { result: null, note: null };
    });
    const all = await readTransaction(LOCAL_ACTOR, contracts);
    const sites = await readTransaction(LOCAL_ACTOR, (tx) => registerSites(tx, null));
    const nameOf = new Map(sites.map((site) => [site.site_id, site.name]));
    const whole = await readCoverage(LOCAL_ACTOR, {}, NOW);
    const doubts = contractTroubles(all);
    expect(new Set(doubts.map((t) => t.what)).size).toBe(4);
    expect(whole.troubles.filter((t) => t.what !== "site_twice")).toEqual(doubts);
    expect([whole.sites, whole.contractsTotal]).toEqual([sites.length, all.length]);
    const covered = new Set(all.map((c) => c.siteId));
    expect(whole.bare).toBe(sites.filter((site) => !covered.has(site.site_id)).length);
    for (const find of ["50 %_of \\ IT", "r3-", [...nameOf.values()][2] ?? "", "%"]) {
      const wanted = all.filter((c) =>
        [c.siteId, nameOf.get(c.siteId), c.coverageId, c.provider, c.policyNumber].some((text) =>
          text?.toLowerCase().includes(find.toLowerCase()),
        ),
      );
      const found = await readCoverage(LOCAL_ACTOR, { find }, NOW);
      expect(wanted.length, find).toBeGreaterThan(0);
      expect(found.contractsTotal, find).toBe(wanted.length);
      expect(found.contracts.map((c) => c.coverageId)).toEqual(wanted.slice(0, 200).map((c) => c.coverageId));
      expect(found.contracts[0]?.siteName).toBe(nameOf.get(wanted[0]?.siteId ?? ""));
    }
  });

  test("money on the pages is that of every deadline reckoned alone, also when it was kept, and another once a contract changed", async () => {
    const holder = globalThis as { raintripShareMs?: number | undefined };
    const atRisk = async () => (await readBooks(LOCAL_ACTOR, NOW)).books.map((line) => line.deadlines);
    const every = await readTransaction(LOCAL_ACTOR, (tx) => bookDeadlines(tx, null, NOW));
    const shown = await readCoverage(LOCAL_ACTOR, {}, NOW);
    expect(shown.deadlines).toEqual(every.slice(0, 100));
    const fresh = await atRisk();
    for (const [i, line] of (await readBooks(LOCAL_ACTOR, NOW)).books.entries()) {
      const own = every.filter((d) => d.portfolio === line.book && d.state !== "sent");
      const once = new Map(own.map((d) => [`${d.siteId}\n${d.coverageId}`, d.atRisk ?? 0]));
      expect(fresh[i]?.atRisk).toBe([...once.values()].reduce((sum, x) => sum + x, 0));
      expect(fresh[i]?.total).toBe(own.length);
    }
    const paid = every.find((d) => (d.atRisk ?? 0) > 0);
    expect(paid).toBeDefined();
    try {
      holder.raintripShareMs = 1000;
      expect(await atRisk()).toEqual(fresh);
      expect(await atRisk()).toEqual(fresh);
      await writeTransaction(LOCAL_ACTOR, async (tx) => {
        await tx`UPDATE coverage SET deductible_amount = 1e9 WHERE coverage_id = ${paid?.coverageId ?? ""}`;
        await tx`UPDATE site SET revision = revision + 1 WHERE site_id = ${paid?.siteId ?? ""}`;
        return { result: null, note: null };
      });
      const after = await atRisk();
      expect(after).not.toEqual(fresh);
      holder.raintripShareMs = undefined;
      expect(await atRisk()).toEqual(after);
    } finally {
      holder.raintripShareMs = undefined;
    }
  });
});
