/**
 * Adjusted p-values by the step-up procedure of Benjamini and Hochberg.
 * @param pValues any order, each 0 to 1
 * @returns q-values in the same order: the least false discovery rate at which each would be a finding
 * @source Benjamini and Hochberg 1995, J. R. Statist. Soc. B 57, 289-300
 */
export function benjaminiHochberg(pValues: readonly number[]): number[] {
  const m = pValues.length;
  const order = pValues.map((_, i) => i).sort((a, b) => (pValues[b] as number) - (pValues[a] as number));
  const q = new Array<number>(m);
  let least = 1;
  order.forEach((index, position) => {
    least = Math.min(least, ((pValues[index] as number) * m) / (m - position));
    q[index] = least;
  });
  return q;
}

/** Sites with fewer onsets than this could hardly be findings; looking at them would only dilute the others. */
export const FEWEST_ONSETS = 5;

/**
 * q-values of a fleet.
 * @param findings n: onsets at risk
 * @returns by site; sites without a p-value or with too few onsets are absent
 */
export function fleetAdjust(
  findings: readonly { siteId: string; pValue: number | null; n: number }[],
): Map<string, number> {
  const looked = findings.filter((f) => f.pValue !== null && f.n >= FEWEST_ONSETS);
  const q = benjaminiHochberg(looked.map((f) => f.pValue as number));
  return new Map(looked.map((f, i) => [f.siteId, q[i] as number]));
}
