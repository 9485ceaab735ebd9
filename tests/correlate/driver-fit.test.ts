import { expect, test } from "vitest";
import { integerBelow, normalDeviate, seededRng } from "../../lib/core/random.ts";
import { FIT, PRECISION, RATIO_MEAN, RATIO_SD, SIZE } from "../../lib/correlate/driver-fit.ts";
import { STRATA } from "../../lib/correlate/sun-hours.ts";

const rng = seededRng("driver-fit");

function someCells() {
  const cells = { exposure: new Float64Array(2 * STRATA), onsets: new Float64Array(2 * STRATA) };
  for (let hour = 5; hour < 20; hour++)
    for (let month = 0; month < 12; month++) {
      const c = hour * 12 + month;
      cells.exposure[c] = integerBelow(rng, 300);
      cells.exposure[STRATA + c] = integerBelow(rng, 3) * integerBelow(rng, 30);
    }
  for (let k = 0; k < 40; k++) {
    const c = (5 + integerBelow(rng, 15)) * 12 + integerBelow(rng, 12) + STRATA * integerBelow(rng, 2);
    cells.onsets[c] = (cells.onsets[c] as number) + 1;
  }
  return cells;
}

/** The log posterior stratum by stratum, as its definition says it; onsets without hours at risk are not compared. */
function plainObjective(
  { exposure, onsets }: ReturnType<typeof someCells>,
  beta: Float64Array,
  overdispersion: number,
) {
  let log = 0;
  for (let c = 0; c < 2 * STRATA; c++) {
    if (!((exposure[c] as number) > 0)) continue;
    const season = (2 * Math.PI * ((c % 12) + 0.5)) / 12;
    const hour = (2 * Math.PI * (Math.floor((c % STRATA) / 12) + 0.5)) / 24;
    const basis = [
      1,
      Math.cos(season),
      Math.sin(season),
      Math.cos(hour),
      Math.sin(hour),
      Math.cos(2 * hour),
      Math.sin(2 * hour),
    ];
    let eta = basis.reduce((sum, x, k) => sum + x * (beta[k] as number), 0);
    if (c >= STRATA && beta.length > SIZE) eta += beta[SIZE] as number;
    log += ((onsets[c] as number) * eta - (exposure[c] as number) * Math.exp(eta)) / overdispersion;
  }
  for (let k = 0; k < SIZE; k++) log -= ((PRECISION[k] as number) * (beta[k] as number) ** 2) / 2;
  if (beta.length > SIZE) log -= (((beta[SIZE] as number) - RATIO_MEAN) / RATIO_SD) ** 2 / 2;
  return log;
}

test("the log posterior by sums over months and hours is that by strata, and its slopes are its differences", () => {
  for (let round = 0; round < 6; round++) {
    const withDriver = round % 2 === 0;
    const n = withDriver ? SIZE + 1 : SIZE;
    const cells = someCells();
    const overdispersion = 1 + 0.3 * round;
    FIT.begin(cells, withDriver, overdispersion);
    const beta = Float64Array.from({ length: n }, (_, k) => (k === 0 ? -6 : 0.4 * normalDeviate(rng)));
    expect(FIT.objective(beta)).toBeCloseTo(plainObjective(cells, beta, overdispersion), 9);
    const { gradient, hessian } = FIT.slopes(beta);
    const STEP = 1e-5;
    for (let j = 0; j < n; j++) {
      const moved = (by: number) => {
        const other = beta.slice();
        other[j] = (other[j] as number) + by;
        const value = FIT.objective(other);
        return { value, gradient: FIT.slopes(other).gradient };
      };
      const [up, down] = [moved(STEP), moved(-STEP)];
      expect(gradient[j]).toBeCloseTo((up.value - down.value) / (2 * STEP), 4);
      // The hessian is that of minus the log posterior, its lower triangle.
      for (let k = 0; k <= j; k++)
        expect(-(hessian[j * n + k] as number)).toBeCloseTo(
          ((up.gradient[k] as number) - (down.gradient[k] as number)) / (2 * STEP),
          3,
        );
    }
  }
});
