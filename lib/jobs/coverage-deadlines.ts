import { localDay } from "../core/zoned-time.ts";
import type { AccountMoney } from "../coverage/account-money.ts";
import { lossParametersOf } from "../coverage/account-parameters.ts";
import { provenChances } from "../coverage/answer-chances.ts";
import { weightsOf } from "../coverage/completeness.ts";
import type { CompletenessWeights } from "../coverage/completeness-weights.ts";
import { type Deadline, siteDeadlines, soonestFirst } from "../coverage/deadlines.ts";
import { SUSPICION_PROBABILITY, suspectedSince } from "../coverage/deadlines-suspicion.ts";
import { type LossContext, siteLoss } from "../coverage/loss-book.ts";
import { type RecoveryGains, recoveryGains } from "../coverage/recovery-gains.ts";
import {
  bySite,
  contractsOf,
  discoveriesOf,
  noticesOf,
  registerSites,
  suspectHistories,
} from "../store/coverage-rows.ts";
import { currentParameters } from "../store/parameter-versions.ts";
import type { Sql } from "../store/transaction.ts";
import { lossInputHash, readLossSites } from "./loss-inputs.ts";

/** A deadline with the site it is of and the money that hangs on it. */
export interface BookDeadline extends Deadline {
  siteName: string;
  portfolio: string;
  /** Expected recovery that lapses with it, account currency; null: not known. */
  atRisk: number | null;
}

/** What converts amounts of the account. */
export async function accountMoney(tx: Sql): Promise<AccountMoney> {
  const [account] = await tx<{ currency: string }[]>`SELECT currency FROM account WHERE account_id = current_account()`;
  const rates = await tx<{ currency: string; rate: number }[]>`
    SELECT currency, rate FROM account_rate WHERE account_id = current_account()`;
  return { accountCurrency: account?.currency ?? "USD", rates: new Map(rates.map((row) => [row.currency, row.rate])) };
}

/** The records of more sites at once would only be held in memory. */
const SITES_AT_ONCE = 500;

/** What is known of a deadline without reckoning money. */
export type DatedDeadline = Omit<BookDeadline, "atRisk">;

/**
 * Deadlines of the sites of a book, or of some sites, as of now, soonest first.
 * @param among a book's name, site ids, or null for the account
 */
export async function bookDeadlines(
  tx: Sql,
  among: string | readonly string[] | null,
  now: number,
): Promise<BookDeadline[]> {
  return withMoney(tx, await datedDeadlines(tx, among, now), now);
}

/** Deadlines with the money that hangs on them: reckoned site by site, so it is asked for those that are shown. */
export async function withMoney(tx: Sql, dated: readonly DatedDeadline[], now: number): Promise<BookDeadline[]> {
  const risk = await moneyAtRisk(tx, [...new Set(dated.map((d) => d.siteId))], now);
  return dated.map((d) => priced(d, risk));
}

export const priced = (dated: DatedDeadline, risk: ReadonlyMap<string, number>): BookDeadline => ({
  ...dated,
  atRisk: risk.get(`${dated.siteId}\n${dated.coverageId}`) ?? null,
});

/** The same without the money that hangs on them. */
export async function datedDeadlines(
  tx: Sql,
  among: string | readonly string[] | null,
  now: number,
): Promise<DatedDeadline[]> {
  const all = await registerSites(tx, typeof among === "string" ? among : null);
  const asked = among !== null && typeof among !== "string" ? new Set(among) : null;
  const sites = asked ? all.filter((s) => asked.has(s.site_id)) : all;
  const ids = among === null ? null : sites.map((site) => site.site_id);
  const discoveries = bySite(await discoveriesOf(tx, ids));
  const sent = bySite(await noticesOf(tx, ids));
  const suspects = await suspectHistories(tx, ids, SUSPICION_PROBABILITY);
  // Nothing is due where nothing is suspected or discovered: most contracts are never read.
  const concerned = [...new Set([...suspects.keys(), ...discoveries.keys()])];
  const contracts = bySite((await contractsOf(tx, concerned)).map((c) => ({ ...c, site_id: c.siteId })));
  const found: DatedDeadline[] = [];
  for (const site of sites) {
    const own = contracts.get(site.site_id);
    if (!own) continue;
    const today = localDay(now, site.time_zone);
    const deadlines = siteDeadlines({
      coverage: own,
      suspicion: suspectedSince(suspects.get(site.site_id) ?? [], site.time_zone),
      discoveries: (discoveries.get(site.site_id) ?? [])
        .filter((d) => d.ended_how === null)
        .map((d) => ({ discoveryId: d.discovery_id, what: d.what, discoveredOn: d.discovered_on })),
      sent: (sent.get(site.site_id) ?? []).map((n) => ({
        coverageId: n.coverage_id,
        discoveryId: n.discovery_id,
        kind: n.kind,
        sentOn: n.sent_on,
      })),
      today,
    });
    found.push(...deadlines.map((d) => ({ ...d, siteName: site.name, portfolio: site.portfolio })));
  }
  return found.sort(soonestFirst);
}

/** What the loss model reckons with today. */
async function lossContext(tx: Sql, now: number): Promise<LossContext> {
  return { asOf: now, money: await accountMoney(tx), params: lossParametersOf(await currentParameters(tx)) };
}

/** Expected recovery of the coming year under each contract that counts, by site and contract. */
export async function moneyAtRisk(tx: Sql, siteIds: readonly string[], now: number): Promise<Map<string, number>> {
  const context = await lossContext(tx, now);
  const out = new Map<string, number>();
  for (let from = 0; from < siteIds.length; from += SITES_AT_ONCE)
    for (const site of await readLossSites(tx, siteIds.slice(from, from + SITES_AT_ONCE), now))
      for (const { coverageId, recovered } of siteLoss(site, context).net.byContract)
        out.set(`${site.records.site.siteId}\n${coverageId}`, recovered);
  return out;
}

/** Another text whenever `moneyAtRisk` of the sites that are seen could be another; records that lie ahead count by the hour. */
export async function moneyVersion(tx: Sql, now: number): Promise<string> {
  const [records] = await tx<[{ sites: number; revisions: number }]>`
    SELECT count(*)::int AS sites, coalesce(sum(revision), 0)::float8 AS revisions FROM site WHERE account_id = current_account()`;
  const { version } = await currentParameters(tx);
  const { accountCurrency, rates } = await accountMoney(tx);
  const hour = Math.floor(now / 3_600_000);
  return JSON.stringify([await lossInputHash(tx), records, version, accountCurrency, [...rates].sort(), hour]);
}

export interface SiteRecovery {
  /** Expected recovery of the coming year by the chance that the evidence is accepted, account currency; null: no contract that counts, or no score. */
  recovered: ((accepted: number) => number) | null;
  weights: CompletenessWeights;
  /** What each missing or broken thing is worth, as the figures of exposure have it; null where nothing can be reckoned. */
  gains: RecoveryGains | null;
}

/** What the contracts of a site are expected to pay, as far as it hangs on what the site can show. */
export async function siteRecovery(tx: Sql, siteId: string, now: number): Promise<SiteRecovery> {
  const context = await lossContext(tx, now);
  const { params } = context;
  const weights = weightsOf(params);
  const [site] = await readLossSites(tx, [siteId], now);
  const loss = site ? siteLoss(site, context) : null;
  const { proof } = site ?? {};
  if (!site || !loss || !proof || loss.terms.terms.length === 0) return { recovered: null, weights, gains: null };
  const recovered = (accepted: number) =>
    siteLoss(site, context, provenChances(proof, params, { accepted })).net.recovered;
  return { recovered, weights, gains: recoveryGains(site, loss, context) };
}
