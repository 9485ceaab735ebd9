import type { Cause, Coverage, LocalDay, SiteRecords } from "../core/records.ts";
import { localDay } from "../core/zoned-time.ts";
import type { BandedProbability } from "../diagnose/diagnosis.ts";
import type { AccountMoney } from "./account-money.ts";
import { provenChances, type SiteProof } from "./answer-chances.ts";
import { type AnnualLoss, expectedAnnualLoss } from "./expected-annual-loss.ts";
import type { SiteToDraw } from "./loss-model.ts";
import { causeSeverities, type NetLoss, netAnnualLoss } from "./loss-net.ts";
import type { LossParameters } from "./loss-parameters.ts";
import { type ChancesOf, flatChances, type SiteTerms, siteTerms } from "./loss-terms.ts";
import type { SiteTwice } from "./one-site.ts";
import type { TripLog } from "./trip-energy.ts";

/** What the loss of a site is reckoned from: its records, and what its newest score believes. */
export interface ScoredForLoss {
  records: Pick<SiteRecords, "site" | "inverters" | "sections" | "coverage">;
  causes: Record<Cause, number>;
  bonding: BandedProbability;
  log: TripLog;
  /** What the site can show today; without it the account's flat chances stand for its contracts. */
  proof?: SiteProof;
}

export interface LossContext {
  asOf: number;
  money: AccountMoney;
  params: LossParameters;
}

/** A site's expectation, and what its distribution is drawn from. */
export interface SiteLoss {
  draw: SiteToDraw;
  net: NetLoss;
  terms: SiteTerms;
  /** What had to be assumed, in words. */
  assumed: string[];
  /** What would have to be on record for more to be recovered, in words. */
  missing: string[];
}

/** The hardware batch that most sections of a site have; ties by name, null where none is recorded. */
export function mainBatch(sections: readonly { hardwareBatch: string | null }[]): string | null {
  const counts = new Map<string, number>();
  for (const { hardwareBatch } of sections)
    if (hardwareBatch !== null) counts.set(hardwareBatch, (counts.get(hardwareBatch) ?? 0) + 1);
  const [first] = [...counts].sort((a, b) => b[1] - a[1] || (a[0] < b[0] ? -1 : 1));
  return first?.[0] ?? null;
}

/**
 * Terms of a site's contracts on the day of the score.
 * @param chancesOf how likely each answers; by default from what the site can show
 */
export function termsOf(
  coverage: readonly Coverage[],
  { records: { site }, proof }: Pick<ScoredForLoss, "records" | "proof">,
  { asOf, money, params }: LossContext,
  chancesOf: ChancesOf = proof ? provenChances(proof, params) : flatChances(params),
): SiteTerms {
  const today: LocalDay = localDay(asOf, site.timeZone);
  return siteTerms(coverage, { siteCurrency: site.currency, today, money, chancesOf });
}

/** Expected loss of one site for the coming year and what its drawn years rest on; account currency. */
export function siteLoss(scored: ScoredForLoss, context: LossContext, chancesOf?: ChancesOf): SiteLoss {
  const { records, causes, bonding, log } = scored;
  const { site } = records;
  const { asOf, money, params } = context;
  const loss = expectedAnnualLoss(
    { records, diagnosis: { causes }, correlation: log, asOf, money, params },
    { ignoreRate: true },
  ) as AnnualLoss;
  const assumed = [...loss.assumed];
  const rate = site.currency === null || site.currency === money.accountCurrency || money.rates.has(site.currency);
  if (!rate)
    assumed.push(
      `the site's money is in ${site.currency}, for which the account has no rate into ${money.accountCurrency}: the account's own defaults stand in until the rate is added`,
    );
  const batch = mainBatch(records.sections);
  if (site.installer === null) assumed.push("installer not recorded: it shares no luck with the sites of any");
  if (batch === null) assumed.push("no hardware batch recorded: it shares no luck with the sites of any");
  else if (records.sections.some((s) => s.hardwareBatch !== null && s.hardwareBatch !== batch))
    assumed.push(`several hardware batches: counted with ${batch}, which most of its sections have`);
  const terms = termsOf(records.coverage, scored, context, chancesOf);
  const severities = causeSeverities(loss, params);
  return {
    draw: { siteId: site.siteId, book: site.portfolio, installer: site.installer, batch, severities, terms },
    net: netAnnualLoss(severities, terms, bonding),
    terms,
    assumed,
    missing: missingCover(records.coverage, terms),
  };
}

const NEEDED = [
  ["workmanship", "No warranty of workmanship counts: repairs of bonds and conductors are the owner's."],
  ["equipment", "No equipment warranty counts: repairs of modules, connectors and detectors are the owner's."],
  ["property_insurance", "No property insurance counts: a severe property loss is the owner's."],
  ["liability_insurance", "No liability insurance counts: a claim of an injured person is the owner's."],
] as const;

function missingCover(coverage: readonly Coverage[], { terms }: SiteTerms): string[] {
  return NEEDED.flatMap(([kind, says]) => {
    if (terms.some((term) => term.kind === kind)) return [];
    return [coverage.some((c) => c.kind === kind) ? `${says} One is recorded; see why it does not count.` : says];
  });
}

/**
 * Each site once: one that several books claim, under one id or under several, stays in the first book by name, and that
 * is said.
 * @param twice sites that are on record under several ids
 */
export function eachSiteOnce<T extends { draw: Pick<SiteToDraw, "siteId" | "book"> }>(
  sites: readonly T[],
  twice: readonly SiteTwice[] = [],
): { sites: T[]; says: string[]; countedAs: { siteId: string; countedAs: string }[] } {
  const same = new Map(twice.flatMap((t) => [t.siteId, ...t.others].map((id) => [id, t] as const)));
  const kept = new Map<string, T>();
  const says = new Set<string>();
  const countedAs: { siteId: string; countedAs: string }[] = [];
  const order = ({ draw }: T) => `${draw.book}\n${draw.siteId}`;
  for (const site of [...sites].sort((a, b) => (order(a) < order(b) ? -1 : order(a) > order(b) ? 1 : 0))) {
    const { siteId, book } = site.draw;
    const one = same.get(siteId);
    const first = kept.get(one?.siteId ?? siteId);
    if (!first) kept.set(one?.siteId ?? siteId, site);
    else if (first.draw.siteId === siteId)
      says.add(
        `Site ${siteId} is in the books ${first.draw.book} and ${book}: it is counted once, in ${first.draw.book}. Correct its portfolio.`,
      );
    else {
      says.add(one?.says ?? "");
      countedAs.push({ siteId, countedAs: first.draw.siteId });
    }
  }
  return { sites: [...kept.values()], says: [...says], countedAs };
}

/** Policies whose limit for the year is asked for by sites of several books. */
export function sharedPolicies(sites: readonly SiteToDraw[]): string[] {
  const books = new Map<string, Set<string>>();
  const names = new Map<string, number>();
  for (const { book, terms } of sites)
    for (const { policy, yearLimit } of terms.terms) {
      if (yearLimit === null) continue;
      books.set(policy, (books.get(policy) ?? new Set()).add(book));
      names.set(policy, (names.get(policy) ?? 0) + 1);
    }
  return [...books]
    .filter(([, of]) => of.size > 1)
    .map(
      ([policy, of]) =>
        `${policy.replaceAll("_", " ")} covers sites of ${[...of].sort().join(" and ")} under one limit for the year: it is shared among them as they claim, never counted twice.`,
    );
}
