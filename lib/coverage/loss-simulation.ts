import { seededRng } from "../core/random.ts";
import { CAUSES } from "../core/records.ts";
import { factorRoom, factorsOf, normalCdfFast, ownScale } from "./gaussian-copula.ts";
import { BATCH_CAUSES, type CauseChain, type Claims, type LossModel, planSlices } from "./loss-model.ts";
import { isInForce } from "./recovery.ts";

/** What each drawn year came to, account currency. */
export interface DrawnYears {
  years: number;
  gross: Float64Array;
  net: Float64Array;
  /** By book, in the order of the model. */
  grossByBook: Float64Array[];
  netByBook: Float64Array[];
  /** The same years, with what somebody does; empty without an alternative. */
  netThen: Float64Array;
  netThenByBook: Float64Array[];
  /** By batch: sites where its hardware does not bond, in each year. */
  defectsByBatch: Uint16Array[];
}

/** Room for so many years. */
export function drawnYears(model: LossModel, years: number): DrawnYears {
  const room = () => new Float64Array(years);
  const then = model.then ? years : 0;
  return {
    years,
    gross: room(),
    net: room(),
    grossByBook: model.books.map(room),
    netByBook: model.books.map(room),
    netThen: new Float64Array(then),
    netThenByBook: model.books.map(() => new Float64Array(then)),
    defectsByBatch: model.groups.batchNames.map(() => new Uint16Array(years)),
  };
}

const C = CAUSES.length;
const IS_BATCH_CAUSE = CAUSES.map((cause) => BATCH_CAUSES.includes(cause));
const TO_UNIT = 2 ** -32;
/** What a keyed number is drawn for; cause by cause the keys lie 16 apart. */
const KEY = { repair: 0, severe: 2, severeSum: 4, severeAt: 6, stays: 7 };
const CHAIN_KEY = 1 << 12;

function mix(x: number): number {
  // The finaliser of MurmurHash3 (Appleby): every bit of the key moves every bit of the result.
  let h = x;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}

/** Uniform in (0, 1) by key: the same key gives the same number, however many others were asked for. */
function keyed(seed: number, key: number): number {
  return (mix((seed + Math.imul(key + 1, 0x9e3779b9)) | 0) + 0.5) * TO_UNIT;
}

function keyedNormal(seed: number, key: number): number {
  return Math.sqrt(-2 * Math.log(keyed(seed, key))) * Math.cos(2 * Math.PI * keyed(seed, key + 1));
}

/** Claims of a year on policies whose limit is one for the year, kept until the year is whole. */
class YearClaims {
  private site: Int32Array = new Int32Array(256);
  private policy: Int32Array = new Int32Array(256);
  private severe: Int32Array = new Int32Array(256);
  private sum: Float64Array = new Float64Array(256);
  private count = 0;
  private readonly claimed: Float64Array;
  private readonly limits: Float64Array;

  constructor(limits: Float64Array) {
    this.limits = limits;
    this.claimed = new Float64Array(limits.length);
  }

  isLimited(policy: number): boolean {
    return (this.limits[policy] as number) !== Number.POSITIVE_INFINITY;
  }

  add(site: number, policy: number, sum: number, severe: boolean): void {
    if (this.count === this.sum.length) {
      const longer = <T extends Int32Array | Float64Array>(from: T, to: T): T => {
        to.set(from as never);
        return to;
      };
      this.site = longer(this.site, new Int32Array(2 * this.count));
      this.policy = longer(this.policy, new Int32Array(2 * this.count));
      this.severe = longer(this.severe, new Int32Array(2 * this.count));
      this.sum = longer(this.sum, new Float64Array(2 * this.count));
    }
    this.site[this.count] = site;
    this.policy[this.count] = policy;
    this.sum[this.count] = sum;
    this.severe[this.count] = severe ? 1 : 0;
    this.claimed[policy] = (this.claimed[policy] as number) + sum;
    this.count++;
  }

  /** Hand out what is paid, pro rata where a limit binds, and start anew. */
  settle(paid: (site: number, sum: number, severe: boolean) => void): void {
    for (let i = 0; i < this.count; i++) {
      const policy = this.policy[i] as number;
      const claimed = this.claimed[policy] as number;
      const limit = this.limits[policy] as number;
      paid(
        this.site[i] as number,
        (this.sum[i] as number) * (claimed > limit ? limit / claimed : 1),
        this.severe[i] === 1,
      );
    }
    for (let i = 0; i < this.count; i++) this.claimed[this.policy[i] as number] = 0;
    this.count = 0;
  }
}

/**
 * Draws years of loss for a model. Every number of a year hangs on the seed, the year, the site and what it is for, so
 * that an alternative meets the very same defects, sums and answers (common random numbers), and any year can be drawn
 * again by itself.
 */
export class LossSimulation {
  private readonly model: LossModel;
  private readonly seed: string;
  private readonly scale: Float64Array;
  private readonly factors: Float64Array;
  private readonly batchDefects: Int32Array;
  private readonly nowClaims: YearClaims;
  private readonly thenClaims: YearClaims;
  private readonly grossOf: Float64Array;
  private readonly netOf: Float64Array;
  private readonly thenOf: Float64Array;
  private readonly present = new Int32Array(C);
  private siteNet: Float64Array | null = null;
  private siteSevere: Float64Array | null = null;

  constructor(model: LossModel, seed: string) {
    this.model = model;
    this.seed = seed;
    this.scale = ownScale(model.groups);
    this.factors = factorRoom(model.groups);
    this.batchDefects = new Int32Array(model.groups.batches + 1);
    this.nowClaims = new YearClaims(model.yearLimits);
    this.thenClaims = new YearClaims(model.yearLimits);
    this.grossOf = new Float64Array(model.books.length);
    this.netOf = new Float64Array(model.books.length);
    this.thenOf = new Float64Array(model.books.length);
  }

  /** Draw the years from `from` up to, not including, `to`. */
  run(into: DrawnYears, from: number, to: number): void {
    for (let year = from; year < to; year++) {
      this.draw(year);
      for (let b = 0; b < this.netOf.length; b++) {
        (into.grossByBook[b] as Float64Array)[year] = this.grossOf[b] as number;
        (into.netByBook[b] as Float64Array)[year] = this.netOf[b] as number;
        into.gross[year] = (into.gross[year] as number) + (this.grossOf[b] as number);
        into.net[year] = (into.net[year] as number) + (this.netOf[b] as number);
        if (this.model.then) {
          (into.netThenByBook[b] as Float64Array)[year] = this.thenOf[b] as number;
          into.netThen[year] = (into.netThen[year] as number) + (this.thenOf[b] as number);
        }
      }
      for (let h = 0; h < into.defectsByBatch.length; h++)
        (into.defectsByBatch[h] as Uint16Array)[year] = this.batchDefects[h] as number;
    }
  }

  /** Net loss of each site in one year, drawn again: what is severe (property, people) apart from the rest. */
  sitesOf(year: number, ordinary: Float64Array, severe: Float64Array): void {
    ordinary.fill(0);
    severe.fill(0);
    this.siteNet = ordinary;
    this.siteSevere = severe;
    this.draw(year);
    this.siteNet = null;
    this.siteSevere = null;
  }

  private draw(year: number): void {
    const { groups, shared, others, bookOf, energy, then } = this.model;
    const { installer, batch, threshold, installers, batches } = groups;
    const { factors, scale, batchDefects, grossOf, netOf, thenOf } = this;
    factorsOf(groups, this.seed, year, factors);
    const none = installers + batches;
    grossOf.fill(0);
    batchDefects.fill(0);
    netOf.fill(0);
    thenOf.fill(0);
    const rng = seededRng(`${this.seed}/${year}`);
    const salt = Math.floor(rng() * 4294967296) | 0;
    const n = threshold.length;
    for (let i = 0; i < n; i++) {
      const g = installer[i] as number;
      const h = batch[i] as number;
      const z = (factors[g < 0 ? none : g] as number) + (factors[h < 0 ? none : installers + h] as number);
      const u = rng();
      const v = rng();
      const isShared = u < normalCdfFast(((threshold[i] as number) - z) * (scale[i] as number));
      const isOther = v < (others.any[i] as number);
      const fixed = energy[i] as number;
      if (fixed !== 0) this.lose(i, bookOf[i] as number, fixed, fixed, fixed);
      if (!isShared && !isOther) continue;
      const seed = mix(((v * 4294967296) ^ mix((salt + Math.imul(i + 1, 0x9e3779b9)) | 0)) | 0) | 0;
      let count = 0;
      if (isShared) {
        count = this.presentOf(shared, i, seed, CHAIN_KEY, count);
        if (h >= 0 && this.hasBatchCause(count)) batchDefects[h] = (batchDefects[h] as number) + 1;
      }
      if (isOther) count = this.presentOf(others, i, seed, 2 * CHAIN_KEY, count);
      for (let k = 0; k < count; k++) this.cause(i, this.present[k] as number, seed);
    }
    this.nowClaims.settle((site, sum, severe) => {
      netOf[bookOf[site] as number] = (netOf[bookOf[site] as number] as number) - sum;
      const to = severe ? this.siteSevere : this.siteNet;
      if (to) to[site] = (to[site] as number) - sum;
    });
    if (then)
      this.thenClaims.settle((site, sum) => {
        thenOf[bookOf[site] as number] = (thenOf[bookOf[site] as number] as number) - sum;
      });
  }

  private lose(site: number, book: number, gross: number, net: number, then: number, severe = false): void {
    this.grossOf[book] = (this.grossOf[book] as number) + gross;
    this.netOf[book] = (this.netOf[book] as number) + net;
    this.thenOf[book] = (this.thenOf[book] as number) + then;
    const to = severe ? this.siteSevere : this.siteNet;
    if (to) to[site] = (to[site] as number) + net;
  }

  private hasBatchCause(count: number): boolean {
    for (let k = 0; k < count; k++) if (IS_BATCH_CAUSE[this.present[k] as number]) return true;
    return false;
  }

  /** Which causes of a chain are there, given that at least one is; written after the first `count` of `present`. */
  private presentOf(chain: CauseChain, site: number, seed: number, key: number, count: number): number {
    const n = chain.causes.length;
    const first = keyed(seed, key);
    let found = count;
    let k = 0;
    while (k < n - 1 && first >= (chain.firstBy[site * n + k] as number)) k++;
    this.present[found++] = chain.causes[k] as number;
    while (++k < n) {
      // Which of the rest comes next, from one number for all of them.
      const next = keyed(seed, key + k);
      let none = 1;
      for (; k < n; k++) {
        none *= 1 - (chain.chance[site * n + k] as number);
        if (next < 1 - none) break;
      }
      if (k < n) this.present[found++] = chain.causes[k] as number;
    }
    return found;
  }

  private cause(site: number, c: number, seed: number): void {
    const { model } = this;
    const at = site * C + c;
    const key = 16 * c;
    const book = model.bookOf[site] as number;
    const stays = model.then === null || keyed(seed, key + KEY.stays) < (model.then.stays[at] as number);
    const repair = sumOf(model.repair, at, seed, key + KEY.repair);
    this.claim(site, book, "repair", at, seed, repair, 0, repair * (model.escalation[at] as number), stays);
    // Both are rare, so that they never fall in the same year makes no difference that could be seen.
    const severe = keyed(seed, key + KEY.severe);
    const property = model.propertyPerYear[at] as number;
    if (severe >= property + (model.peoplePerYear[at] as number)) return;
    const kind = severe < property ? "property" : "people";
    const sum = sumOf(model[kind], at, seed, key + KEY.severeSum);
    this.claim(site, book, kind, at, seed, sum, keyed(seed, key + KEY.severeAt), 0, stays);
  }

  private claim(
    site: number,
    book: number,
    kind: "repair" | "property" | "people",
    at: number,
    seed: number,
    sum: number,
    when: number,
    extra: number,
    stays: boolean,
  ): void {
    const { now, then } = this.model;
    const severe = kind !== "repair";
    const paidNow = this.ask(now, this.nowClaims, site, now.planOf[kind][at] as number, seed, sum, when, severe);
    const paidThen =
      then && stays
        ? this.ask(then, this.thenClaims, site, then.planOf[kind][at] as number, seed, sum, when, severe)
        : 0;
    const whole = sum + extra;
    this.lose(site, book, whole, whole - paidNow, then && stays ? whole - paidThen : 0, severe);
  }

  /** What contracts pay at once; what a year's limit may still cut is noted as a claim instead. */
  private ask(
    { plans }: Claims,
    claims: YearClaims,
    site: number,
    index: number,
    seed: number,
    sum: number,
    when: number,
    severe: boolean,
  ): number {
    if (index < 0) return 0;
    const plan = plans[index] as Claims["plans"][number];
    let mask = 0;
    for (let t = 0; t < plan.terms.length; t++) {
      const term = plan.terms[t] as (typeof plan.terms)[number];
      if (isInForce(term, when) && keyed(seed, plan.salt[t] as number) < term.chance) mask |= 1 << t;
    }
    if (mask === 0) return 0;
    let paid = 0;
    for (const slice of planSlices(plan, mask)) {
      if (sum <= slice.from) continue;
      const part = Math.min(sum, slice.to) - slice.from;
      const policy = plan.policy[slice.term] as number;
      if (claims.isLimited(policy)) claims.add(site, policy, part, severe);
      else paid += part;
    }
    return paid;
  }
}

function sumOf({ mu, sd }: LossModel["repair"], at: number, seed: number, key: number): number {
  const spread = sd[at] as number;
  return spread === 0 ? Math.exp(mu[at] as number) : Math.exp((mu[at] as number) + spread * keyedNormal(seed, key));
}
