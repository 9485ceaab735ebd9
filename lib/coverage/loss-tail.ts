/**
 * Value at risk and expected shortfall of drawn years with their Monte Carlo error. Years come in pairs of opposite
 * factors, so errors are those of independent pairs, never of single years.
 */

/** A figure and its standard error from having drawn finitely many years. */
export interface Estimate {
  value: number;
  error: number;
}

export const TAIL_LEVELS = [0.95, 0.975, 0.99] as const;
export type TailLevel = (typeof TAIL_LEVELS)[number];

export interface TailFigures {
  level: number;
  /** Loss that a year stays within with this probability. */
  valueAtRisk: Estimate;
  /** Mean of the years beyond, the part of a year at the edge counted in part (Acerbi and Tasche 2002). */
  expectedShortfall: Estimate;
}

/** Mean with the error of pairs. */
export function pairMean(values: ArrayLike<number>): Estimate {
  const pairs = values.length / 2;
  if (!Number.isInteger(pairs) || pairs < 2)
    throw new RangeError(`pairMean requires an even number of at least 4 values, got ${values.length}`);
  let sum = 0;
  for (let j = 0; j < values.length; j++) sum += values[j] as number;
  const mean = sum / values.length;
  let square = 0;
  for (let j = 0; j < pairs; j++) {
    const half = ((values[2 * j] as number) + (values[2 * j + 1] as number)) / 2;
    square += (half - mean) ** 2;
  }
  return { value: mean, error: Math.sqrt(square / (pairs - 1) / pairs) };
}

/** Smallest drawn loss that at least a share p of the years does not exceed. */
function quantile(sorted: Float64Array, p: number): number {
  const index = Math.ceil(p * sorted.length - 1e-9) - 1;
  return sorted[Math.min(sorted.length - 1, Math.max(0, index))] as number;
}

/** Mean of the worst 1 - p of the years. */
function shortfall(sorted: Float64Array, p: number): number {
  const n = sorted.length;
  const edge = Math.ceil(p * n - 1e-9);
  let sum = (edge - p * n) * (sorted[edge - 1] as number);
  for (let i = edge; i < n; i++) sum += sorted[i] as number;
  return sum / (n * (1 - p));
}

/** Years above their quantile, its slope by the error of that share (Woodruff 1952), and what one year adds to each. */
function influences(values: Float64Array, sorted: Float64Array, p: number) {
  const at = quantile(sorted, p);
  const above = Float64Array.from(values, (x) => (x > at ? 1 : 0));
  const share = pairMean(above).error;
  const spread = (quantile(sorted, Math.min(1, p + share)) - quantile(sorted, Math.max(0, p - share))) / 2;
  const slope = share > 0 ? spread / share : 0;
  return {
    at,
    error: spread,
    quantile: above.map((x) => slope * x),
    shortfall: Float64Array.from(values, (x) => Math.max(0, x - at) / (1 - p)),
  };
}

/**
 * Both figures at a level.
 * @throws RangeError when the level leaves less than two years in the tail
 */
export function tailFigures(values: Float64Array, level: number): TailFigures {
  if (!(level > 0 && level < 1) || values.length * (1 - level) < 2)
    throw new RangeError(`tailFigures requires a level with at least 2 of the ${values.length} years beyond it`);
  const sorted = Float64Array.from(values).sort();
  const { at, error, shortfall: parts } = influences(values, sorted, level);
  return {
    level,
    valueAtRisk: { value: at, error },
    expectedShortfall: { value: shortfall(sorted, level), error: pairMean(parts).error },
  };
}

/** What an alternative changes, year by year over the same draws; the error is that of the difference itself. */
export interface Change {
  mean: Estimate;
  tail: TailFigures[];
}

export function changeOf(now: Float64Array, then: Float64Array, levels: readonly number[] = TAIL_LEVELS): Change {
  if (now.length !== then.length) throw new RangeError("changeOf requires the same years on both sides");
  const before = Float64Array.from(now).sort();
  const after = Float64Array.from(then).sort();
  return {
    mean: pairMean(Float64Array.from(now, (x, j) => (then[j] as number) - x)),
    tail: levels.map((level) => {
      const a = influences(now, before, level);
      const b = influences(then, after, level);
      const error = (x: Float64Array, y: Float64Array) => pairMean(y.map((v, j) => v - (x[j] as number))).error;
      return {
        level,
        valueAtRisk: { value: b.at - a.at, error: error(a.quantile, b.quantile) },
        expectedShortfall: {
          value: shortfall(after, level) - shortfall(before, level),
          error: error(a.shortfall, b.shortfall),
        },
      };
    }),
  };
}

/** Loss exceeded with each probability, from likely to rare; no rarer than ten years of the draw show. */
export function exceedanceCurve(values: Float64Array, points = 60): { probability: number; loss: number }[] {
  const sorted = Float64Array.from(values).sort();
  const rarest = Math.min(0.5, 10 / values.length);
  return Array.from({ length: points }, (_, i) => {
    const probability = 0.99 * (rarest / 0.99) ** (i / (points - 1));
    return { probability, loss: quantile(sorted, 1 - probability) };
  });
}

/** The worst years with the weight of each: they sum to 1, and the weighted mean of their losses is the shortfall. */
export function tailYears(values: Float64Array, level: number): { year: number; weight: number }[] {
  const order = Array.from(values.keys()).sort((a, b) => (values[a] as number) - (values[b] as number) || a - b);
  const n = values.length;
  const edge = Math.ceil(level * n - 1e-9);
  const inPart = edge - level * n;
  const worst = order.slice(edge).map((year) => ({ year, weight: 1 / (n * (1 - level)) }));
  return inPart > 1e-9 ? [{ year: order[edge - 1] as number, weight: inPart / (n * (1 - level)) }, ...worst] : worst;
}
