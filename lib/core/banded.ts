/** A probability with its 5 % and 95 % points. */
export interface Banded {
  p: number;
  low: number;
  high: number;
}

/** Two decimals, never 0.00 or 1.00: the model is never that sure. */
function probabilityText(p: number): string {
  return p >= 0.995 ? ">0.99" : p < 0.005 ? "<0.01" : p.toFixed(2);
}

/** A probability as it goes out: never without its interval, so what writes one alone is not given out. */
export function bandedText({ p, low, high }: Banded): string {
  return `${probabilityText(p)} (${probabilityText(low)} to ${probabilityText(high)})`;
}

/** Never 0 or 100 %. */
function percentText(p: number): string {
  return p >= 0.995 ? "over 99 %" : p < 0.005 ? "under 1 %" : `${Math.round(p * 100)} %`;
}

/** The same in percent, for sentences. */
export function bandedPercent({ p, low, high }: Banded): string {
  return `${percentText(p)} (${percentText(low)} to ${percentText(high)})`;
}
