import type { Cause } from "../core/records.ts";
import { expit, logit } from "../core/statistics.ts";
import type { VisitOutcome } from "./learning.ts";

/** What the confirmed outcomes of sites that share an installer or a hardware batch say of another of their sites. */
export interface SharedEffect {
  /** Log odds to add to the cause, and the standard deviation that is left. */
  shift: number;
  sd: number;
  /** Sites where somebody looked for the cause, and where it was found. */
  looked: number;
  found: number;
}

/** How far installers and batches differ, log odds. Judgement. */
export const SHARED_SPREAD = 0.6;

/**
 * Log-odds shift of a cause that sites of one installer or batch share. Each site is compared with what was stated of it
 * before the visit, so visiting the suspicious ones does not by itself raise the others.
 *
 * @param outcomes confirmed visits of the sites that share it; the site itself must not be among them
 * @param spread standard deviation of the shift between groups, log odds
 * @returns mode and curvature under a normal prior around 0; shift 0 and the whole spread where nobody looked
 * @throws RangeError when spread is not above 0
 */
export function sharedEffect(
  outcomes: readonly VisitOutcome[],
  cause: Cause,
  spread: number = SHARED_SPREAD,
): SharedEffect {
  if (!(spread > 0)) throw new RangeError(`sharedEffect requires a spread above 0, got ${spread}`);
  const looked = outcomes.filter(({ lookedFor }) => lookedFor.includes(cause));
  const odds = looked.map(({ stated }) => logit(Math.min(1 - 1e-9, Math.max(1e-9, stated[cause]))));
  const found = looked.filter((each) => each.found.includes(cause)).length;
  const precision = 1 / spread ** 2;
  let low = -10;
  let high = 10;
  // The gradient falls steadily in the shift, so bisection cannot miss its only root.
  for (let i = 0; i < 60; i++) {
    const mid = (low + high) / 2;
    if (found - odds.reduce((sum, x) => sum + expit(x + mid), 0) - precision * mid > 0) low = mid;
    else high = mid;
  }
  const shift = looked.length === 0 ? 0 : (low + high) / 2;
  const information = odds.reduce((sum, x) => sum + expit(x + shift) * expit(-x - shift), precision);
  return { shift, sd: 1 / Math.sqrt(information), looked: looked.length, found };
}
