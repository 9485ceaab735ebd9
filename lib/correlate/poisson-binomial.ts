/**
 * Upper tail of a sum of independent trials with unequal chances, exactly.
 * @param chances probability of each trial, 0 to 1
 * @returns P(K >= k)
 * @shape O(n²)
 */
export function poissonBinomialTail(chances: readonly number[], k: number): number {
  if (k <= 0) return 1;
  if (k > chances.length) return 0;
  // Only counts up to k matter: the last place gathers "k or more".
  const mass = new Float64Array(k + 1);
  mass[0] = 1;
  let most = 0;
  for (const p of chances) {
    const top = Math.min(most, k - 1);
    for (let j = top; j >= 0; j--) {
      const moved = (mass[j] as number) * p;
      mass[j + 1] = (mass[j + 1] as number) + moved;
      mass[j] = (mass[j] as number) - moved;
    }
    most = Math.min(most + 1, k);
  }
  return Math.min(1, mass[k] as number);
}
