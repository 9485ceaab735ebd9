import { WEATHER_STATES } from "../weather/weather-state.ts";
import type { HourFrame } from "./hour-frame.ts";
import { type HourRooms, NEW_ROOMS } from "./hour-rooms.ts";
import { type HourTally, tallyAt } from "./hour-tally.ts";
import { STRATA } from "./sun-hours.ts";

/** How an indicator is spread over strata, and what is left of it within them. Aligned with the hours. */
export interface Residuals {
  /** indicator - share of its stratum; 0 where the hour is not compared. */
  residual: Float32Array;
  /** share x (1 - share); 0 where the hour is not compared. */
  variance: Float32Array;
  /** Share of the stratum that the hour lies in; 0 where not compared. */
  share: Float32Array;
}

/** Residuals of no hour at all. */
export const NOTHING_COMPARED: Residuals = {
  residual: new Float32Array(0),
  variance: new Float32Array(0),
  share: new Float32Array(0),
};

/** What a stratum borrows from each of the two neighbouring months, so that a thin one has a sensible share. */
const NEIGHBOUR_WEIGHT = 0.25;

/**
 * Residuals of an on/off indicator within strata of solar hour by month: what an onset's hour was beyond what season
 * and time of day make of it.
 * @param on 1, 0, or 255 where unknown
 * @param counted 1 where the hour is compared (lit, weather known, somebody reporting)
 * @param stratum as `sunHours` gives it
 * @param exposure units at risk an hour: the weight of the hour in its stratum's share; default 1 where counted
 */
export function residuals(
  on: Uint8Array,
  counted: Uint8Array,
  stratum: Uint16Array,
  exposure: ArrayLike<number> = counted,
): Residuals {
  const total = new Float64Array(STRATA);
  const yes = new Float64Array(STRATA);
  const n = on.length;
  for (let i = 0; i < n; i++) {
    const weight = exposure[i] as number;
    if (weight === 0 || on[i] === 255) continue;
    const s = stratum[i] as number;
    total[s] = (total[s] as number) + weight;
    if (on[i] === 1) yes[s] = (yes[s] as number) + weight;
  }
  return residualsFrom(smoothedShares(total, yes), on, counted, stratum);
}

/** The residuals of wet hours over the hours at risk of a site, from what is summed of them already. */
export function wetResiduals(
  { wet, stratum }: Pick<HourFrame, "wet" | "stratum">,
  { tally, comparable }: { tally: HourTally; comparable: Uint8Array },
  rooms: HourRooms = NEW_ROOMS,
): Residuals {
  const total = new Float64Array(STRATA);
  const yes = new Float64Array(STRATA);
  for (let s = 0; s < STRATA; s++)
    for (let state = 0; state < WEATHER_STATES.length; state++) {
      const isWet = tally.cells[tallyAt(s, state, 1)] as number;
      yes[s] = (yes[s] as number) + isWet;
      total[s] = (total[s] as number) + isWet + (tally.cells[tallyAt(s, state, 0)] as number);
    }
  return residualsFrom(smoothedShares(total, yes), wet, comparable, stratum, rooms);
}

function residualsFrom(
  share: Float64Array,
  on: Uint8Array,
  counted: Uint8Array,
  stratum: Uint16Array,
  rooms: HourRooms = NEW_ROOMS,
): Residuals {
  const n = on.length;
  const out = { residual: rooms.floats(n), variance: rooms.floats(n), share: rooms.floats(n) };
  for (let i = 0; i < n; i++) {
    if (counted[i] === 0 || on[i] === 255) continue;
    const p = share[stratum[i] as number] as number;
    out.share[i] = p;
    out.residual[i] = (on[i] as number) - p;
    out.variance[i] = p * (1 - p);
  }
  return out;
}

function smoothedShares(total: Float64Array, yes: Float64Array): Float64Array {
  const share = new Float64Array(total.length);
  for (let s = 0; s < share.length; s++) {
    const month = s % 12;
    const before = s - month + ((month + 11) % 12);
    const after = s - month + ((month + 1) % 12);
    const t = (total[s] as number) + NEIGHBOUR_WEIGHT * ((total[before] as number) + (total[after] as number));
    const y = (yes[s] as number) + NEIGHBOUR_WEIGHT * ((yes[before] as number) + (yes[after] as number));
    share[s] = t > 0 ? y / t : 0;
  }
  return share;
}
