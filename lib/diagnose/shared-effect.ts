import { BONDING_CAUSES, CAUSES, type Cause } from "../core/records.ts";
import { expit, logit } from "../core/statistics.ts";
import type { VisitOutcome } from "./learning.ts";
import { type ParameterValues, parameter } from "./parameters.ts";

/** What the confirmed outcomes of sites that share an installer or a hardware batch say of another of their sites. */
export interface SharedEffect {
  /** Log odds to add to the cause, and the standard deviation that is left. */
  shift: number;
  sd: number;
  /** Sites where somebody looked for the cause, and where it was found. */
  looked: number;
  found: number;
}

/**
 * Log-odds shift of a cause that sites of one installer or batch share. Each site is compared with what was stated of it
 * before the visit, so visiting the suspicious ones does not by itself raise the others.
 *
 * @param outcomes confirmed visits of the sites that share it; the site itself must not be among them
 * @param spread standard deviation of the shift between groups, log odds
 * @returns mode and curvature under a normal prior around 0; shift 0 and the whole spread where nobody looked
 * @throws RangeError when spread is not above 0
 */
export function sharedEffect(outcomes: readonly VisitOutcome[], cause: Cause, spread: number): SharedEffect {
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

/** Confirmed visits of the other sites that share an installer or a hardware batch with a site. */
export interface SharedGroup {
  kind: "installer" | "batch";
  name: string;
  /** Of other sites only; stated without what the group itself had added. */
  outcomes: readonly VisitOutcome[];
}

/** Workmanship shows in these; a batch of hardware in how it bonds. */
const SHARED_CAUSES: Record<SharedGroup["kind"], readonly Cause[]> = {
  installer: [...BONDING_CAUSES, "conductor_insulation", "connector_ingress"],
  batch: ["high_resistance_bond", "open_section_bond"],
};

/** Log odds that the groups of a site add to each cause, in the order of CAUSES, and how far they may be off. */
export interface SharedShifts {
  shift: Float64Array;
  sd: Float64Array;
  says: string;
}

/** @returns null where nobody looked at another site of its groups */
export function sharedShifts(groups: readonly SharedGroup[], values: ParameterValues): SharedShifts | null {
  const shift = new Float64Array(CAUSES.length);
  const variance = new Float64Array(CAUSES.length);
  const says: string[] = [];
  for (const group of groups) {
    const spread = parameter(values, `shared.${group.kind}`);
    const found: string[] = [];
    let clear = 0;
    for (const cause of SHARED_CAUSES[group.kind]) {
      const effect = sharedEffect(group.outcomes, cause, spread);
      if (effect.looked === 0) continue;
      const c = CAUSES.indexOf(cause);
      shift[c] = (shift[c] as number) + effect.shift;
      variance[c] = (variance[c] as number) + effect.sd ** 2;
      if (effect.found > 0) found.push(`${cause.replaceAll("_", " ")} ${effect.found} of ${effect.looked}`);
      else clear += effect.looked;
    }
    if (clear > 0) found.push(`${found.length > 0 ? "else " : ""}nothing in ${clear} looks`);
    if (found.length > 0)
      says.push(`${group.kind === "installer" ? "installer" : "hardware batch"} ${group.name}: ${found.join(", ")}`);
  }
  if (says.length === 0) return null;
  return {
    shift,
    sd: variance.map(Math.sqrt),
    says: `Found at other sites where somebody looked: ${says.join("; ")}.`,
  };
}
