import { CAUSES, type Cause, type Coverage } from "../core/records.ts";
import { localDay } from "../core/zoned-time.ts";
import { type LossContext, type ScoredForLoss, type SiteLoss, termsOf } from "./loss-book.ts";
import type { Alternative } from "./loss-model.ts";
import { netAnnualLoss } from "./loss-net.ts";

const inAYear = (day: string) => new Date(Date.parse(`${day}T00:00:00Z`) + 366 * 86_400_000).toISOString().slice(0, 10);

/** Something an owner can do about a book. */
export type WhatIf =
  | { kind: "visit"; siteIds: readonly string[] }
  | { kind: "inspect"; installer: string }
  | {
      kind: "cover";
      cover: "property_insurance" | "liability_insurance";
      limit: number;
      deductible: number;
      /** One limit for the year over all sites, or a limit for each loss. */
      basis: "aggregate" | "per_occurrence";
      premiumPerSite: number;
    };

export interface WhatIfSite extends ScoredForLoss {
  /** What a visit costs; null: not known of this site. */
  visitCost: number | null;
}

/** The alternative as drawn, what it costs, and how many sites it is about. */
export interface WhatIfPlan {
  alternative: Alternative;
  sites: number;
  /** Account currency; null where no visit's cost is known. */
  cost: number | null;
  says: string[];
}

/** How well a visit works, by cause. */
export interface VisitChances {
  find: Record<Cause, number>;
  fix: number;
}

/**
 * What an act changes at which sites. A visit finds each cause with its chance and mends it; what it finds is gone for
 * the year, what it misses stays. New cover starts today; a warranty for a defect that is there already is not on offer.
 *
 * @param sites those that the act may be about: the book's, or the account's
 */
export function planWhatIf(
  act: WhatIf,
  sites: readonly WhatIfSite[],
  context: LossContext,
  chances: VisitChances,
): WhatIfPlan {
  if (act.kind === "cover") return planCover(act, sites, context);
  const visited = sites.filter(({ records: { site } }) =>
    act.kind === "visit" ? act.siteIds.includes(site.siteId) : site.installer === act.installer,
  );
  const says: string[] = [];
  if (act.kind === "visit") {
    const known = new Set(visited.map(({ records }) => records.site.siteId));
    const unknown = act.siteIds.filter((id) => !known.has(id));
    if (unknown.length > 0) says.push(`Not in this book, and left out: ${unknown.join(", ")}.`);
  }
  const costs = visited.flatMap(({ visitCost }) => (visitCost === null ? [] : [visitCost]));
  const anyCosts = sites.flatMap(({ visitCost }) => (visitCost === null ? [] : [visitCost]));
  const mean = anyCosts.length > 0 ? anyCosts.reduce((sum, c) => sum + c, 0) / anyCosts.length : null;
  const without = visited.length - costs.length;
  if (without > 0)
    says.push(
      mean === null
        ? "What a visit costs is not known."
        : `${without} of the sites have no visit proposed, so theirs is taken as the mean of the others, ${Math.round(mean).toLocaleString("en-US")} each.`,
    );
  const stay = Object.fromEntries(CAUSES.map((c) => [c, 1 - chances.find[c] * chances.fix])) as Record<Cause, number>;
  return {
    alternative: {
      stays: new Map(visited.map(({ records }) => [records.site.siteId, stay])),
      terms: new Map(),
    },
    sites: visited.length,
    cost: without > 0 && mean === null ? null : costs.reduce((sum, c) => sum + c, 0) + without * (mean ?? 0),
    says,
  };
}

function planCover(
  act: Extract<WhatIf, { kind: "cover" }>,
  sites: readonly WhatIfSite[],
  context: LossContext,
): WhatIfPlan {
  const terms = new Map(
    sites.map((scored) => {
      const { site, coverage } = scored.records;
      const today = localDay(context.asOf, site.timeZone);
      const bought: Coverage = {
        coverageId: `new cover ${site.siteId}`,
        siteId: site.siteId,
        kind: act.cover,
        provider: null,
        startsOn: today,
        endsOn: inAYear(today),
        limitAmount: act.limit,
        deductibleAmount: act.deductible,
        noticeDays: 30,
        noticeTo: null,
        policyNumber: "new cover",
        currency: context.money.accountCurrency,
        limitBasis: act.basis,
        trigger: "occurrence",
        proofOfLossDays: null,
        suitLimitMonths: null,
        excludes: [],
        conditions: [],
      };
      return [site.siteId, termsOf([...coverage, bought], scored, context)] as const;
    }),
  );
  const says = [
    "The new cover is asked for what present contracts leave. A carrier may refuse what was known before it began, and its conditions are not read yet: it is counted with what the site can show today.",
  ];
  return {
    alternative: { stays: new Map(), terms },
    sites: sites.length,
    cost: act.premiumPerSite * sites.length,
    says,
  };
}

/**
 * What an act changes in the expected loss of a year, reckoned rather than drawn: rare great losses make a drawn mean
 * unsure. Limits that several sites share are left out, as in the expectation itself.
 */
export function expectedChange(
  sites: readonly Pick<SiteLoss, "draw" | "net">[],
  { stays, terms }: Alternative,
): { before: number; change: number } {
  let before = 0;
  let change = 0;
  for (const { draw, net } of sites) {
    before += net.net;
    const stay = stays.get(draw.siteId);
    const bought = terms.get(draw.siteId);
    if (!stay && !bought) continue;
    const then = bought ? netAnnualLoss(draw.severities, bought, { p: 0.5, low: 0.5, high: 0.5 }) : net;
    change -= net.net;
    // The log's trips go on costing what they cost until a year without the defect has been seen.
    for (const c of then.byCause) change += c.energy + (stay?.[c.cause] ?? 1) * (c.net - c.energy);
  }
  return { before, change };
}
