import { BONDING_CAUSES, CAUSES, type Cause } from "../core/records.ts";
import { type DefectGroups, defectGroups } from "./gaussian-copula.ts";
import type { CauseSeverity } from "./loss-net.ts";
import type { ClaimKind, SiteTerms } from "./loss-terms.ts";
import type { RecoveryTerm, Severity, Slice } from "./recovery.ts";
import { slicesOf } from "./recovery.ts";

/** A site as the distribution needs it. */
export interface SiteToDraw {
  siteId: string;
  book: string;
  installer: string | null;
  /** The batch that most of its sections have. */
  batch: string | null;
  severities: readonly CauseSeverity[];
  terms: SiteTerms;
}

/** What somebody does: causes that are found and mended, contracts that are bought. */
export interface Alternative {
  /** Chance by site that a cause stays after all; a site that is not listed is left alone. */
  stays: ReadonlyMap<string, Readonly<Record<Cause, number>>>;
  /** Contracts of a site in place of its present ones. */
  terms: ReadonlyMap<string, SiteTerms>;
}

/** Contracts asked for one loss; slices by which of them answer are worked out once. */
export interface ClaimPlan {
  terms: readonly RecoveryTerm[];
  /** Index of each term's policy. */
  policy: readonly number[];
  /** Mixed into the draw of whether a term answers: the same contract gives the same answer in every alternative. */
  salt: readonly number[];
  slices: Map<number, Slice[]>;
}

/** Causes that an installer's work or a batch of hardware can bring to many sites at once. Judgement. */
export const SHARED_CAUSES: readonly Cause[] = [...BONDING_CAUSES, "conductor_insulation", "connector_ingress"];
/** Those that a batch of bonding hardware brings by itself, as a serial defect would. Judgement. */
export const BATCH_CAUSES: readonly Cause[] = ["open_section_bond", "high_resistance_bond"];
const OTHERS: readonly Cause[] = CAUSES.filter((cause) => !SHARED_CAUSES.includes(cause));

/** Causes one after the other, each with the chance that it is the first that is there, and that it is there at all. */
export interface CauseChain {
  causes: readonly number[];
  /** By site and place: cumulative chance that the first present cause is at this place or before. */
  firstBy: Float64Array;
  /** By site and place: chance that the cause is there, whatever the others. */
  chance: Float64Array;
  any: Float64Array;
}

/** Everything that a drawn year reads, in flat arrays. `plans` by [claim][site x CAUSES + cause], -1: nobody answers. */
export interface LossModel {
  sites: readonly SiteToDraw[];
  books: readonly string[];
  bookOf: Int32Array;
  groups: DefectGroups & { installerNames: string[]; batchNames: string[] };
  shared: CauseChain;
  others: CauseChain;
  /** By site x CAUSES + cause. */
  repair: LogNormals;
  escalation: Float64Array;
  propertyPerYear: Float64Array;
  property: LogNormals;
  peoplePerYear: Float64Array;
  people: LogNormals;
  /** By site: what its trips cost, drawn or not. */
  energy: Float64Array;
  now: Claims;
  then: (Claims & { stays: Float64Array }) | null;
  /** Limits that claims of a year share, and the names of their policies. */
  policies: readonly string[];
  yearLimits: Float64Array;
}
export interface Claims {
  plans: readonly ClaimPlan[];
  planOf: Record<ClaimKind, Int32Array>;
}
interface LogNormals {
  mu: Float64Array;
  sd: Float64Array;
}

const C = CAUSES.length;

/**
 * Flat arrays for drawing years of loss.
 * @throws RangeError when a site is listed twice, as one in two books would be
 */
export function lossModel(
  sites: readonly SiteToDraw[],
  shares: { sharedInstaller: number; sharedBatch: number },
  alternative: Alternative | null = null,
): LossModel {
  const seen = new Set<string>();
  for (const { siteId } of sites) {
    if (seen.has(siteId)) throw new RangeError(`lossModel requires each site once, got ${siteId} twice`);
    seen.add(siteId);
  }
  const shared = chain(sites, SHARED_CAUSES);
  const groups = defectGroups(
    sites.map(({ installer, batch }, i) => ({ probability: shared.any[i] as number, installer, batch })),
    shares,
  );
  const books = [...new Set(sites.map((s) => s.book))].sort();
  const at = new Map(books.map((book, i) => [book, i]));
  const each = (value: (s: CauseSeverity) => number) =>
    Float64Array.from({ length: sites.length * C }, (_, i) => value(severity(sites, i)));
  const policies = new Map<string, number>();
  const limits: number[] = [];
  const claims = (termsOf: (site: SiteToDraw) => SiteTerms) => claimsOf(sites, termsOf, policies, limits);
  const now = claims((site) => site.terms);
  const then = alternative && {
    ...claims((site) => alternative.terms.get(site.siteId) ?? site.terms),
    stays: Float64Array.from({ length: sites.length * C }, (_, i) => {
      const own = alternative.stays.get(sites[Math.floor(i / C)]?.siteId ?? "");
      return own ? own[CAUSES[i % C] as Cause] : 1;
    }),
  };
  return {
    sites,
    books,
    bookOf: Int32Array.from(sites, (s) => at.get(s.book) as number),
    groups,
    shared,
    others: chain(sites, OTHERS),
    repair: logNormals(sites, (s) => s.repair),
    escalation: each((s) => s.escalation),
    propertyPerYear: each((s) => s.propertyPerYear),
    property: logNormals(sites, (s) => s.property),
    peoplePerYear: each((s) => s.peoplePerYear),
    people: logNormals(sites, (s) => s.people),
    energy: Float64Array.from(sites, (s) => s.severities.reduce((sum, x) => sum + x.energy, 0)),
    now,
    then,
    policies: [...policies.keys()],
    yearLimits: Float64Array.from(limits),
  };
}

function severity(sites: readonly SiteToDraw[], i: number): CauseSeverity {
  const site = sites[Math.floor(i / C)] as SiteToDraw;
  const found = site.severities.find((s) => s.cause === CAUSES[i % C]);
  if (!found) throw new RangeError(`lossModel requires every cause of ${site.siteId}, ${CAUSES[i % C]} is missing`);
  return found;
}

function logNormals(sites: readonly SiteToDraw[], of: (s: CauseSeverity) => Severity): LogNormals {
  const length = sites.length * C;
  const mu = new Float64Array(length);
  const sd = new Float64Array(length);
  for (let i = 0; i < length; i++) {
    const { mean, spread } = of(severity(sites, i));
    sd[i] = spread;
    mu[i] = Math.log(mean) - spread ** 2 / 2;
  }
  return { mu, sd };
}

function chain(sites: readonly SiteToDraw[], causes: readonly Cause[]): CauseChain {
  const n = causes.length;
  const firstBy = new Float64Array(sites.length * n);
  const chance = new Float64Array(sites.length * n);
  const any = new Float64Array(sites.length);
  for (const [i, site] of sites.entries()) {
    let none = 1;
    for (const [k, cause] of causes.entries()) {
      const p = site.severities.find((s) => s.cause === cause)?.probability ?? 0;
      none *= 1 - p;
      chance[i * n + k] = p;
      firstBy[i * n + k] = 1 - none;
    }
    any[i] = 1 - none;
    if (none < 1) for (let k = 0; k < n; k++) firstBy[i * n + k] = (firstBy[i * n + k] as number) / (1 - none);
  }
  return { causes: causes.map((cause) => CAUSES.indexOf(cause)), firstBy, chance, any };
}

function claimsOf(
  sites: readonly SiteToDraw[],
  termsOf: (site: SiteToDraw) => SiteTerms,
  policies: Map<string, number>,
  limits: number[],
): Claims {
  const plans: ClaimPlan[] = [];
  const length = sites.length * C;
  const planOf = {
    repair: new Int32Array(length).fill(-1),
    property: new Int32Array(length).fill(-1),
    people: new Int32Array(length).fill(-1),
  };
  for (const [i, site] of sites.entries()) {
    const known = new Map<string, number>();
    const { terms } = termsOf(site);
    for (const claim of ["repair", "property", "people"] as const)
      for (const [c, cause] of CAUSES.entries()) {
        const asked = terms.filter((t) => t.claim === claim && t.causes.includes(cause) && t.chance > 0);
        if (asked.length === 0) continue;
        const key = asked.map((t) => t.coverageId).join("\n");
        let plan = known.get(key);
        if (plan === undefined) {
          plan = plans.length;
          known.set(key, plan);
          const policy = asked.map((t) => policyIndex(t, policies, limits));
          plans.push({ terms: asked, policy, salt: asked.map((t) => saltOf(t.coverageId)), slices: new Map() });
        }
        planOf[claim][i * C + c] = plan;
      }
  }
  return { plans, planOf };
}

function policyIndex(
  { policy, yearLimit }: SiteTerms["terms"][number],
  policies: Map<string, number>,
  limits: number[],
): number {
  const known = policies.get(policy);
  // Rows of one policy that state different limits: the lowest stands until somebody reads the policy.
  const limit = yearLimit ?? Number.POSITIVE_INFINITY;
  if (known !== undefined) {
    limits[known] = Math.min(limits[known] as number, limit);
    return known;
  }
  policies.set(policy, limits.length);
  limits.push(limit);
  return limits.length - 1;
}

function saltOf(text: string): number {
  let h = 2166136261;
  for (let i = 0; i < text.length; i++) h = Math.imul(h ^ text.charCodeAt(i), 16777619);
  return h >>> 0;
}

/** Slices of a plan when the terms of a bit mask answer. */
export function planSlices(plan: ClaimPlan, mask: number): Slice[] {
  let slices = plan.slices.get(mask);
  if (!slices) {
    const answering = plan.terms.flatMap((_, t) => (mask & (1 << t) ? [t] : []));
    slices = slicesOf(answering.map((t) => plan.terms[t] as RecoveryTerm)).map((s) => ({
      ...s,
      term: answering[s.term] as number,
    }));
    plan.slices.set(mask, slices);
  }
  return slices;
}
