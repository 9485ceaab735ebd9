import type { Judged } from "./calibration.ts";

/**
 * Probabilities that a plain count would have given, so that the model has something simple to beat: sites are put in
 * groups by their count, and each is given the share of the others of its group in which the defect was found (with one
 * imaginary find and one miss, so that no group says 0 or 1). A site never counts towards its own forecast.
 *
 * @param sites the count or share, and what the visit found
 * @param edges lower edges of the groups after the first, rising
 */
export function countBaseline(sites: readonly { count: number; found: boolean }[], edges: readonly number[]): Judged[] {
  if (edges.some((edge, i) => i > 0 && edge <= (edges[i - 1] as number)))
    throw new RangeError("countBaseline requires edges that rise");
  const groupOf = (count: number) => edges.filter((edge) => count >= edge).length;
  const groups = new Map<number, { n: number; hits: number }>();
  for (const { count, found } of sites) {
    const group = groups.get(groupOf(count)) ?? { n: 0, hits: 0 };
    groups.set(groupOf(count), { n: group.n + 1, hits: group.hits + (found ? 1 : 0) });
  }
  return sites.map(({ count, found }) => {
    const { n, hits } = groups.get(groupOf(count)) as { n: number; hits: number };
    return { p: (hits - (found ? 1 : 0) + 1) / (n - 1 + 2), found };
  });
}
