/**
 * One factor a group: whether a site has a defect is `sqrt(a) Z_installer + sqrt(b) Z_batch + sqrt(1 - a - b) e < t`,
 * every Z and e standard normal and t the quantile of the site's own probability. The groups leave each probability
 * alone and only let sites fail together. With one factor and many alike sites the share that fails tends to Vasicek's
 * distribution (Vasicek 2002, "The distribution of loan portfolio value", Risk 15).
 */
import { normalDeviate, seededRng } from "../core/random.ts";
import { normalCdf, normalQuantile } from "../core/statistics.ts";

/** Each site's threshold and groups; group -1: the site shares that factor with nobody. */
export interface DefectGroups {
  /** Quantile of each site's probability. */
  threshold: Float64Array;
  installer: Int32Array;
  batch: Int32Array;
  installers: number;
  batches: number;
  /** Share of the variance that sites of one installer, or of one batch, have in common. */
  sharedInstaller: number;
  sharedBatch: number;
}

/** @throws RangeError for shares below 0 or that leave nothing to the site itself */
export function defectGroups(
  sites: readonly { probability: number; installer: string | null; batch: string | null }[],
  shares: { sharedInstaller: number; sharedBatch: number },
): DefectGroups & { installerNames: string[]; batchNames: string[] } {
  const { sharedInstaller: a, sharedBatch: b } = shares;
  if (!(a >= 0 && b >= 0 && a + b <= 1))
    throw new RangeError(`defectGroups requires shares of 0 or more that sum to 1 at most, got ${a} and ${b}`);
  const index = (names: (string | null)[]) => {
    const list = [...new Set(names.filter((n): n is string => n !== null))].sort();
    const at = new Map(list.map((name, i) => [name, i]));
    return { list, of: Int32Array.from(names, (name) => (name === null ? -1 : (at.get(name) as number))) };
  };
  const installer = index(sites.map((s) => s.installer));
  const batch = index(sites.map((s) => s.batch));
  return {
    // A probability of 0 or 1 is a threshold that no draw passes, or that each does.
    threshold: Float64Array.from(sites, ({ probability: p }) => (p <= 0 ? -40 : p >= 1 ? 40 : normalQuantile(p))),
    installer: installer.of,
    batch: batch.of,
    installers: installer.list.length,
    batches: batch.list.length,
    sharedInstaller: a,
    sharedBatch: b,
    installerNames: installer.list,
    batchNames: batch.list,
  };
}

const TABLE_SPAN = 8;
const TABLE_STEPS = 512;
/** Standard normal distribution on a grid; linear between, off by less than 5e-7. */
const TABLE = Float64Array.from({ length: 2 * TABLE_SPAN * TABLE_STEPS + 2 }, (_, i) =>
  normalCdf(i / TABLE_STEPS - TABLE_SPAN),
);

/** Φ(x) from the grid. */
export function normalCdfFast(x: number): number {
  if (x <= -TABLE_SPAN) return 0;
  if (x >= TABLE_SPAN) return 1;
  const at = (x + TABLE_SPAN) * TABLE_STEPS;
  const i = at | 0;
  const low = TABLE[i] as number;
  return low + (at - i) * ((TABLE[i + 1] as number) - low);
}

/**
 * The factors of one drawn year. Years come in pairs of opposite factors (antithetic), and any year can be drawn again
 * by itself.
 */
export function factorsOf(groups: DefectGroups, seed: string, year: number, into: Float64Array): void {
  const rng = seededRng(`${seed}/factors/${year >> 1}`);
  const sign = year & 1 ? -1 : 1;
  const a = Math.sqrt(groups.sharedInstaller) * sign;
  const b = Math.sqrt(groups.sharedBatch) * sign;
  for (let i = 0; i < groups.installers; i++) into[i] = a * normalDeviate(rng);
  for (let i = 0; i < groups.batches; i++) into[groups.installers + i] = b * normalDeviate(rng);
}

/** Room for `factorsOf`; one element more stands for "no group" and stays 0. */
export const factorRoom = (groups: DefectGroups): Float64Array =>
  new Float64Array(groups.installers + groups.batches + 1);

/** 1 / sd of what is left to each site itself. */
export function ownScale(groups: DefectGroups): Float64Array {
  return Float64Array.from(groups.threshold, (_, i) => {
    const shared =
      ((groups.installer[i] as number) >= 0 ? groups.sharedInstaller : 0) +
      ((groups.batch[i] as number) >= 0 ? groups.sharedBatch : 0);
    // Nothing left: the factors alone decide. A finite scale keeps the arithmetic free of 0 x Infinity.
    return 1 / Math.sqrt(Math.max(1 - shared, 1e-24));
  });
}
