import { STRATA } from "./sun-hours.ts";

/** Hours at risk and onsets of a site by stratum, with a driver off (first STRATA cells) and on (the rest). */
export interface DriverCells {
  exposure: Float64Array;
  onsets: Float64Array;
}

/** How far a site's own rate may follow season and time of day, as standard deviations of its harmonics; assumed. */
const SEASON_SD = 0.6;
const DAY_SD = 0.6;
const HALF_DAY_SD = 0.3;
/** Log rate ratio of a driver before any data: four times, between about one and sixteen; assumed. */
export const RATIO_MEAN = Math.log(4);
export const RATIO_SD = 0.7;

export const SIZE = 7;
const HOURS = 24;
const MONTHS = 12;
const [SEASONAL, DAILY] = [2, 4];
/** The year's and the day's part of the harmonics: a stratum's are those of its month and of its hour. */
const SEASON_BASIS = Float64Array.from(
  Array.from({ length: MONTHS }, (_, m) => {
    const season = (2 * Math.PI * (m + 0.5)) / MONTHS;
    return [Math.cos(season), Math.sin(season)];
  }).flat(),
);
const DAY_BASIS = Float64Array.from(
  Array.from({ length: HOURS }, (_, h) => {
    const hour = (2 * Math.PI * (h + 0.5)) / HOURS;
    return [Math.cos(hour), Math.sin(hour), Math.cos(2 * hour), Math.sin(2 * hour)];
  }).flat(),
);
/** Precision of each coefficient; the first, the site's rate, is left free. */
export const PRECISION = [0, SEASON_SD, SEASON_SD, DAY_SD, DAY_SD, HALF_DAY_SD, HALF_DAY_SD].map((sd) =>
  sd === 0 ? 0 : 1 / (sd * sd),
);

/**
 * The log posterior of the coefficients and its slopes. The log rate of a stratum is a sum of its month's part and of its
 * hour's, so rates are products of 36 exponentials, and all sums over strata are sums over months, over hours, or over
 * months of sums over hours.
 */
class Fit {
  /** Onsets and hours at risk of all strata that have hours. */
  onsets = 0;
  exposure = 0;
  #withDriver = false;
  #overdispersion = 1;
  /** Hours at risk by stratum with the driver off, and on. */
  #off: Float64Array = new Float64Array(0);
  #on: Float64Array = new Float64Array(0);
  /** Hours of the day that have hours at risk. */
  readonly #hours = new Int32Array(HOURS);
  #used = 0;
  readonly #onsetsOfMonth = new Float64Array(MONTHS);
  readonly #onsetsOfHour = new Float64Array(HOURS);
  #onsetsOn = 0;
  /** Rates of each month and hour under the coefficients asked for last, and of the driver. */
  readonly #ofMonth = new Float64Array(MONTHS);
  readonly #ofHour = new Float64Array(HOURS);
  /** Expected onsets over the overdispersion: by month, by hour, and of both those with the driver on. */
  readonly #month = new Float64Array(MONTHS);
  readonly #hour = new Float64Array(HOURS);
  readonly #monthOn = new Float64Array(MONTHS);
  readonly #hourOn = new Float64Array(HOURS);
  /** By month, expected onsets times each harmonic of the day, summed over hours. */
  readonly #cross = new Float64Array(MONTHS * DAILY);
  #ratio = 1;

  begin({ exposure, onsets }: DriverCells, withDriver: boolean, overdispersion: number): void {
    this.#withDriver = withDriver;
    this.#overdispersion = overdispersion;
    this.#off = exposure.subarray(0, STRATA);
    this.#on = exposure.subarray(STRATA);
    this.#onsetsOfMonth.fill(0);
    this.#onsetsOfHour.fill(0);
    [this.#onsetsOn, this.onsets, this.exposure, this.#used] = [0, 0, 0, 0];
    for (let h = 0; h < HOURS; h++) {
      let hours = 0;
      for (let m = 0; m < MONTHS; m++)
        for (let c = h * MONTHS + m; c < 2 * STRATA; c += STRATA) {
          const at = exposure[c] as number;
          if (!(at > 0)) continue;
          hours += at;
          const count = onsets[c] as number;
          if (count === 0) continue;
          this.onsets += count;
          this.#onsetsOfMonth[m] = (this.#onsetsOfMonth[m] as number) + count;
          this.#onsetsOfHour[h] = (this.#onsetsOfHour[h] as number) + count;
          if (c >= STRATA) this.#onsetsOn += count;
        }
      if (hours > 0) this.#hours[this.#used++] = h;
      this.exposure += hours;
    }
  }

  objective(beta: Float64Array): number {
    const [ofMonth, ofHour] = [this.#ofMonth, this.#ofHour];
    let log = 0;
    for (let m = 0; m < MONTHS; m++) {
      let eta = beta[0] as number;
      for (let k = 0; k < SEASONAL; k++) eta += (SEASON_BASIS[m * SEASONAL + k] as number) * (beta[1 + k] as number);
      log += (this.#onsetsOfMonth[m] as number) * eta;
      ofMonth[m] = Math.exp(eta);
    }
    const ratio = this.#withDriver ? Math.exp(beta[SIZE] as number) : 1;
    this.#ratio = ratio;
    if (this.#withDriver) log += this.#onsetsOn * (beta[SIZE] as number);
    let expected = 0;
    for (let u = 0; u < this.#used; u++) {
      const h = this.#hours[u] as number;
      let eta = 0;
      for (let k = 0; k < DAILY; k++) eta += (DAY_BASIS[h * DAILY + k] as number) * (beta[1 + SEASONAL + k] as number);
      log += (this.#onsetsOfHour[h] as number) * eta;
      ofHour[h] = Math.exp(eta);
      let sum = 0;
      for (let m = 0, c = h * MONTHS; m < MONTHS; m++, c++)
        sum += ((this.#off[c] as number) + ratio * (this.#on[c] as number)) * (ofMonth[m] as number);
      expected += sum * (ofHour[h] as number);
    }
    log = (log - expected) / this.#overdispersion;
    for (let k = 0; k < SIZE; k++) log -= ((PRECISION[k] as number) * (beta[k] as number) ** 2) / 2;
    if (this.#withDriver) log -= (((beta[SIZE] as number) - RATIO_MEAN) / RATIO_SD) ** 2 / 2;
    return log;
  }

  /** At the coefficients that the objective was asked for last. */
  slopes(beta: Float64Array): { gradient: Float64Array; hessian: Float64Array } {
    this.#expect();
    const n = beta.length;
    const gradient = new Float64Array(n);
    const hessian = new Float64Array(n * n);
    for (let m = 0; m < MONTHS; m++) {
      const mean = this.#month[m] as number;
      const over = (this.#onsetsOfMonth[m] as number) / this.#overdispersion - mean;
      gradient[0] = (gradient[0] as number) + over;
      addAt(hessian, n, 0, 0, mean);
      for (let j = 0; j < SEASONAL; j++) {
        const x = SEASON_BASIS[m * SEASONAL + j] as number;
        gradient[1 + j] = (gradient[1 + j] as number) + over * x;
        addAt(hessian, n, 1 + j, 0, mean * x);
        for (let k = 0; k <= j; k++)
          addAt(hessian, n, 1 + j, 1 + k, mean * x * (SEASON_BASIS[m * SEASONAL + k] as number));
        for (let k = 0; k < DAILY; k++)
          addAt(hessian, n, 1 + SEASONAL + k, 1 + j, x * (this.#cross[m * DAILY + k] as number));
        if (n > SIZE) addAt(hessian, n, SIZE, 1 + j, (this.#monthOn[m] as number) * x);
      }
      if (n > SIZE) addAt(hessian, n, SIZE, 0, this.#monthOn[m] as number);
    }
    for (let u = 0; u < this.#used; u++) {
      const h = this.#hours[u] as number;
      const mean = this.#hour[h] as number;
      const over = (this.#onsetsOfHour[h] as number) / this.#overdispersion - mean;
      for (let j = 0; j < DAILY; j++) {
        const x = DAY_BASIS[h * DAILY + j] as number;
        const row = 1 + SEASONAL + j;
        gradient[row] = (gradient[row] as number) + over * x;
        addAt(hessian, n, row, 0, mean * x);
        for (let k = 0; k <= j; k++)
          addAt(hessian, n, row, 1 + SEASONAL + k, mean * x * (DAY_BASIS[h * DAILY + k] as number));
        if (n > SIZE) addAt(hessian, n, SIZE, row, (this.#hourOn[h] as number) * x);
      }
    }
    if (n > SIZE) {
      const on = hessian[SIZE * n] as number;
      gradient[SIZE] = this.#onsetsOn / this.#overdispersion - on;
      addAt(hessian, n, SIZE, SIZE, on);
    }
    for (let j = 0; j < n; j++) {
      const precision = j < SIZE ? (PRECISION[j] as number) : 1 / (RATIO_SD * RATIO_SD);
      const centre = j < SIZE ? 0 : RATIO_MEAN;
      gradient[j] = (gradient[j] as number) - precision * ((beta[j] as number) - centre);
      addAt(hessian, n, j, j, precision);
    }
    return { gradient, hessian };
  }

  /** Sums of what is expected, by month and by hour. */
  #expect(): void {
    const [month, monthOn, cross] = [this.#month, this.#monthOn, this.#cross];
    for (const sums of [month, monthOn, cross]) sums.fill(0);
    for (let u = 0; u < this.#used; u++) {
      const h = this.#hours[u] as number;
      const rate = (this.#ofHour[h] as number) / this.#overdispersion;
      let [ofAll, ofOn] = [0, 0];
      for (let m = 0, c = h * MONTHS; m < MONTHS; m++, c++) {
        const each = rate * (this.#ofMonth[m] as number);
        const on = each * this.#ratio * (this.#on[c] as number);
        const all = each * (this.#off[c] as number) + on;
        ofAll += all;
        ofOn += on;
        month[m] = (month[m] as number) + all;
        monthOn[m] = (monthOn[m] as number) + on;
        for (let k = 0; k < DAILY; k++)
          cross[m * DAILY + k] = (cross[m * DAILY + k] as number) + all * (DAY_BASIS[h * DAILY + k] as number);
      }
      this.#hour[h] = ofAll;
      this.#hourOn[h] = ofOn;
    }
  }
}

/** One of these serves all fits, one after the other. */
export const FIT = new Fit();

function addAt(matrix: Float64Array, n: number, j: number, k: number, value: number): void {
  matrix[j * n + k] = (matrix[j * n + k] as number) + value;
}
