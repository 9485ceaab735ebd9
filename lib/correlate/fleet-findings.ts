/** How many sites are taken for weather-driven, and how many of them chance alone would give. */
export interface FleetFindings {
  /** p-values in twenty equal bins from 0 to 1; without any effect every bin would hold about as many. */
  histogram: number[];
  sites: number;
  level: number;
  /** Sites with q at or below the level. */
  findings: number;
  /** At most so many of them are expected to be false: level x findings. */
  expectedFalse: number;
  /** Share of sites that nothing drives, from the flat part of the histogram (Storey 2002, at 0.5); null: too few. */
  noEffectShare: number | null;
}

const BINS = 20;
const FLAT_FROM = 0.5;
const FEWEST_SITES = 20;

/**
 * @param sites p and q of every site that was looked at
 * @source Storey 2002, J. R. Statist. Soc. B 64, 479-498, equation 2 (from memory)
 */
export function fleetFindings(sites: readonly { p: number; q: number }[], level = 0.05): FleetFindings {
  const histogram = new Array<number>(BINS).fill(0);
  for (const { p } of sites) {
    const bin = Math.min(BINS - 1, Math.floor(p * BINS));
    histogram[bin] = (histogram[bin] as number) + 1;
  }
  const findings = sites.filter((s) => s.q <= level).length;
  const flat = sites.filter((s) => s.p > FLAT_FROM).length;
  return {
    histogram,
    sites: sites.length,
    level,
    findings,
    expectedFalse: level * findings,
    noEffectShare: sites.length < FEWEST_SITES ? null : Math.min(1, flat / ((1 - FLAT_FROM) * sites.length)),
  };
}
