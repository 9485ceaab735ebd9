import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { afterAll, beforeAll } from "vitest";
import { installQueue } from "../../../lib/jobs/boss.ts";
import { refreshScores } from "../../../lib/jobs/refresh-scores.ts";
import { readSiteCoverage } from "../../../lib/reads/coverage-site.ts";
import type { SiteCoverageView } from "../../../lib/reads/coverage-view.ts";
import { readQueue } from "../../../lib/reads/queue.ts";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { readTransaction } from "../../../lib/store/transaction.ts";
import { saveCoverageTerms } from "../../../lib/writes/coverage-terms.ts";
import { importPaths } from "../../../lib/writes/import-paths.ts";
import { writeDemoDrop } from "../../../seed/write-demo.ts";
import { useTestDatabase } from "../../support/test-database.ts";

export const database = useTestDatabase();
export const DAY_MS = 86_400_000;
/** The database gives discoveries their time, so these tests live in the present. */
export const NOW = Date.now();
export const by = "Invented Person";
export let data = "";
export let siteId = "";
export let book = "";

export const TERMS = {
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
export const save = (coverage_id: string, over: Partial<typeof TERMS> = {}, change = false) =>
  saveCoverageTerms(LOCAL_ACTOR, { change, terms: { coverage_id, site_id: siteId, ...TERMS, ...over } });
export const view = async (now = NOW): Promise<SiteCoverageView> => {
  const found = await readSiteCoverage(LOCAL_ACTOR, siteId, now);
  if (!found) throw new Error("no such site");
  return found;
};
export const audit = async (action: string) =>
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
