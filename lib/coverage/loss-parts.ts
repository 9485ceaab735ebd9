import { CAUSES } from "../core/records.ts";
import { normalQuantile } from "../core/statistics.ts";
import { type ClaimPlan, type LossModel, planSlices } from "./loss-model.ts";
import { paidOf } from "./recovery.ts";

const C = CAUSES.length;
const POINTS = 32;
const NORMAL_POINTS = Float64Array.from({ length: POINTS }, (_, k) => normalQuantile((k + 0.5) / POINTS));

/** Net sums that a severe loss may come to, with the chance of each, over its size and over who answers. */
function netSums(mu: number, sd: number, plan: ClaimPlan | null): { net: number; chance: number }[] {
  const out: { net: number; chance: number }[] = [];
  const terms = plan?.terms ?? [];
  for (const z of NORMAL_POINTS) {
    const sum = Math.exp(mu + sd * z);
    for (let mask = 0; mask < 1 << terms.length; mask++) {
      let chance = 1 / POINTS;
      for (const [t, term] of terms.entries()) {
        const answers = term.chance * Math.max(0, Math.min(1, term.to) - term.from);
        chance *= mask & (1 << t) ? answers : 1 - answers;
      }
      if (chance > 0) out.push({ net: sum - (plan ? paidOf(sum, planSlices(plan, mask)) : 0), chance });
    }
  }
  return out;
}

/**
 * Each site's share of the severe losses in the worst years.
 *
 * A severe loss is so rare that in the drawn years it falls on a site by luck: counting would rank sites by that luck.
 * Instead a site counts with what it is expected to bring: how often a loss strikes it, times its net sum, times the
 * chance that the year then is among the worst. That the factors tie a site to the rest of its year is left out here;
 * the shares split what the drawn years came to, so the parts still add up.
 *
 * @param values net loss of the drawn years
 * @returns in the order of `sites`; sums to 1, or all 0 where no severe loss can happen
 */
export function severeShares(
  model: LossModel,
  sites: readonly number[],
  values: Float64Array,
  level: number,
): Float64Array {
  const sorted = Float64Array.from(values).sort();
  const edge = sorted[Math.min(sorted.length - 1, Math.ceil(level * sorted.length - 1e-9) - 1)] as number;
  const chanceFrom = (least: number) => 1 - lowerCount(sorted, least) / sorted.length;
  const weights = Float64Array.from(sites, (site) => {
    let weight = 0;
    for (const kind of ["property", "people"] as const) {
      const perYear = kind === "property" ? model.propertyPerYear : model.peoplePerYear;
      // Causes that share their contracts are one sum: the size of the loss does not hang on the cause.
      const rates = new Map<number, { rate: number; at: number }>();
      for (let c = 0; c < C; c++) {
        const at = site * C + c;
        const plan = model.now.planOf[kind][at] as number;
        const before = rates.get(plan)?.rate ?? 0;
        rates.set(plan, { rate: before + probabilityOf(model, site, c) * (perYear[at] as number), at });
      }
      for (const [index, { rate, at }] of rates) {
        if (rate === 0) continue;
        const plan = index < 0 ? null : (model.now.plans[index] as ClaimPlan);
        for (const { net, chance } of netSums(model[kind].mu[at] as number, model[kind].sd[at] as number, plan))
          weight += rate * chance * net * chanceFrom(edge - net);
      }
    }
    return weight;
  });
  const total = weights.reduce((sum, w) => sum + w, 0);
  return total > 0 ? weights.map((w) => w / total) : weights;
}

function probabilityOf({ shared, others }: LossModel, site: number, cause: number): number {
  for (const chain of [shared, others]) {
    const k = chain.causes.indexOf(cause);
    if (k >= 0) return chain.chance[site * chain.causes.length + k] as number;
  }
  return 0;
}

/** How many values lie below a sum. */
function lowerCount(sorted: Float64Array, sum: number): number {
  let low = 0;
  let high = sorted.length;
  while (low < high) {
    const mid = (low + high) >> 1;
    if ((sorted[mid] as number) < sum) low = mid + 1;
    else high = mid;
  }
  return low;
}
