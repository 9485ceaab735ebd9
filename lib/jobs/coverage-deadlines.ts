import { z } from "zod";
import { CAUSES } from "../core/records.ts";
import { localDay } from "../core/zoned-time.ts";
import type { AccountMoney } from "../coverage/account-money.ts";
import { type Deadline, siteDeadlines, soonestFirst } from "../coverage/deadlines.ts";
import { SUSPICION_PROBABILITY, suspectedSince } from "../coverage/deadlines-suspicion.ts";
import { DEFAULT_LOSS_PARAMETERS } from "../coverage/loss-parameters.ts";
import { openDeadlines } from "../coverage/open-deadlines.ts";
import {
  contractsOf,
  discoveriesOf,
  noticesOf,
  type RegisterSite,
  registerSites,
  suspectHistories,
} from "../store/coverage-rows.ts";
import type { Sql } from "../store/transaction.ts";

/** A deadline with the site it is of and the money that hangs on it. */
export interface BookDeadline extends Deadline {
  siteName: string;
  portfolio: string;
  /** Expected recovery that lapses with it, account currency; null: not known. */
  atRisk: number | null;
}

const Causes = z.record(z.enum(CAUSES), z.number());

/** What converts amounts of the account. */
export async function accountMoney(tx: Sql): Promise<AccountMoney> {
  const [account] = await tx<{ currency: string }[]>`SELECT currency FROM account WHERE account_id = current_account()`;
  const rates = await tx<{ currency: string; rate: number }[]>`
    SELECT currency, rate FROM account_rate WHERE account_id = current_account()`;
  return { accountCurrency: account?.currency ?? "USD", rates: new Map(rates.map((row) => [row.currency, row.rate])) };
}

/** Marginal probabilities of the causes, by site. */
async function causesOf(tx: Sql, siteIds: readonly string[]): Promise<Map<string, z.infer<typeof Causes>>> {
  const rows = await tx<{ site_id: string; causes: unknown }[]>`
    SELECT st.site_id, sc.result -> 'causes' AS causes FROM standing st JOIN score sc USING (account_id, site_id, input_hash)
    WHERE st.account_id = current_account() AND st.site_id = ANY(${[...siteIds]})`;
  return new Map(rows.map((row) => [row.site_id, Causes.parse(row.causes)]));
}

/**
 * Deadlines of the sites of a book, or of some sites, as of now.
 * @param among a book's name, site ids, or null for the account
 */
export async function bookDeadlines(
  tx: Sql,
  among: string | readonly string[] | null,
  now: number,
): Promise<BookDeadline[]> {
  const all = await registerSites(tx, typeof among === "string" ? among : null);
  const sites = among !== null && typeof among !== "string" ? all.filter((s) => among.includes(s.site_id)) : all;
  const ids = among === null ? null : sites.map((site) => site.site_id);
  const discoveries = bySite(await discoveriesOf(tx, ids));
  const sent = bySite(await noticesOf(tx, ids));
  const suspects = await suspectHistories(tx, ids, SUSPICION_PROBABILITY);
  const contracts = bySite((await contractsOf(tx, ids)).map((c) => ({ ...c, site_id: c.siteId })));
  const found: BookDeadline[] = [];
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
    found.push(...deadlines.map((d) => ({ ...d, siteName: site.name, portfolio: site.portfolio, atRisk: null })));
  }
  const risk = await moneyAtRisk(tx, sites, contracts, [...new Set(found.map((d) => d.siteId))], now);
  return found.map((d) => ({ ...d, atRisk: risk.get(`${d.siteId}\n${d.coverageId}`) ?? null })).sort(soonestFirst);
}

function bySite<T extends { site_id: string }>(rows: readonly T[]): Map<string, T[]> {
  const out = new Map<string, T[]>();
  for (const row of rows) {
    const list = out.get(row.site_id);
    if (list) list.push(row);
    else out.set(row.site_id, [row]);
  }
  return out;
}

/**
 * The largest recovery expected under one contract in force of a site, were all evidence accepted, account currency.
 * Contracts may answer for the same loss, so their recoveries are not added up. Null: no contract, rate or score.
 */
export async function siteRecoverable(tx: Sql, siteId: string, now: number): Promise<number | null> {
  const site = (await registerSites(tx, null)).filter((s) => s.site_id === siteId);
  const contracts = new Map([[siteId, await contractsOf(tx, [siteId])]]);
  const risk = await moneyAtRisk(tx, site, contracts, [siteId], now);
  const amounts = [...risk.values()].filter((amount) => amount !== null);
  return amounts.length === 0 ? null : Math.max(...amounts) / DEFAULT_LOSS_PARAMETERS.evidenceAccepted;
}

/** Expected recovery under each contract in force, by site and contract; absent where it cannot be said. */
async function moneyAtRisk(
  tx: Sql,
  sites: readonly RegisterSite[],
  contracts: ReadonlyMap<string, Awaited<ReturnType<typeof contractsOf>>>,
  siteIds: readonly string[],
  now: number,
): Promise<Map<string, number | null>> {
  const money = await accountMoney(tx);
  const causes = await causesOf(tx, siteIds);
  const out = new Map<string, number | null>();
  const wanted = new Set(siteIds);
  for (const site of sites) {
    const own = causes.get(site.site_id);
    if (!own || !wanted.has(site.site_id)) continue;
    const records = {
      site: { timeZone: site.time_zone, currency: site.currency },
      coverage: contracts.get(site.site_id) ?? [],
    };
    for (const open of openDeadlines(records, { causes: own }, now, money, DEFAULT_LOSS_PARAMETERS))
      out.set(`${site.site_id}\n${open.coverageId}`, open.atRisk);
  }
  return out;
}
