/** A stream of uniform numbers in [0, 1). Every function that draws takes one; nothing draws from the platform. */
export type Rng = () => number;

/**
 * A seeded generator: sfc32 (Chris Doty-Humphrey's Small Fast Counter, 128-bit state), seeded by hashing
 * the text with xmur3. The same seed gives the same stream on every machine.
 *
 * @param seed any text; derive child streams by adding a suffix, e.g. `${seed}/site-7`
 * @returns uniform numbers in [0, 1) with 32 random bits
 */
export function seededRng(seed: string): Rng {
  const next = xmur3(seed);
  let a = next();
  let b = next();
  let c = next();
  let d = next();
  const rng = () => {
    const t = (a + b + d) | 0;
    d = (d + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = ((c << 21) | (c >>> 11)) + t;
    c |= 0;
    return (t >>> 0) / 4294967296;
  };
  // The first outputs of sfc32 still carry the seed's structure; its author discards a dozen.
  for (let i = 0; i < 12; i++) rng();
  return rng;
}

function xmur3(text: string): () => number {
  let h = 1779033703 ^ text.length;
  for (let i = 0; i < text.length; i++) {
    h = Math.imul(h ^ text.charCodeAt(i), 3432918353);
    h = (h << 13) | (h >>> 19);
  }
  return () => {
    h = Math.imul(h ^ (h >>> 16), 2246822507);
    h = Math.imul(h ^ (h >>> 13), 3266489909);
    h ^= h >>> 16;
    return h >>> 0;
  };
}

/** Standard normal deviate (Box-Muller, one of the pair). */
export function normalDeviate(rng: Rng): number {
  const u = 1 - rng();
  return Math.sqrt(-2 * Math.log(u)) * Math.cos(2 * Math.PI * rng());
}

/** Exponential deviate with mean 1. */
export function exponentialDeviate(rng: Rng): number {
  return -Math.log(1 - rng());
}

/**
 * Poisson deviate. Inversion below mean 30; above it the sum of halves, so the cost stays bounded and the
 * distribution exact.
 * @throws RangeError when mean is negative or not finite
 */
export function poissonDeviate(rng: Rng, mean: number): number {
  if (!(mean >= 0) || !Number.isFinite(mean))
    throw new RangeError(`poissonDeviate requires a finite mean of 0 or more, got ${mean}`);
  if (mean > 30) return poissonDeviate(rng, mean / 2) + poissonDeviate(rng, mean / 2);
  const limit = Math.exp(-mean);
  let k = 0;
  let product = rng();
  while (product > limit) {
    k++;
    product *= rng();
  }
  return k;
}

/** Gamma deviate with the given shape and rate 1 (Marsaglia and Tsang 2000; shape below 1 by boosting). */
export function gammaDeviate(rng: Rng, shape: number): number {
  if (!(shape > 0)) throw new RangeError(`gammaDeviate requires a shape above 0, got ${shape}`);
  if (shape < 1) return gammaDeviate(rng, shape + 1) * (1 - rng()) ** (1 / shape);
  const d = shape - 1 / 3;
  const c = 1 / Math.sqrt(9 * d);
  for (;;) {
    const x = normalDeviate(rng);
    const v = (1 + c * x) ** 3;
    if (v <= 0) continue;
    if (Math.log(1 - rng()) < 0.5 * x * x + d - d * v + d * Math.log(v)) return d * v;
  }
}

/** Beta deviate. */
export function betaDeviate(rng: Rng, a: number, b: number): number {
  const x = gammaDeviate(rng, a);
  return x / (x + gammaDeviate(rng, b));
}

/** Integer in [0, n). */
export function integerBelow(rng: Rng, n: number): number {
  return Math.floor(rng() * n);
}
