import { BONDING_CAUSES, CAUSES, type Cause } from "../core/records.ts";

/** At most this many causes are considered together; four at once would be the end of every inspector's patience. */
const MOST_TOGETHER = 3;

/** A set of causes that are present together, as a bit per place in CAUSES. */
export type Configuration = number;

export const causeBit = (cause: Cause): number => 1 << CAUSES.indexOf(cause);
export const BONDING_MASK = BONDING_CAUSES.reduce((mask, cause) => mask | causeBit(cause), 0);

function bitCount(mask: number): number {
  let n = 0;
  for (let m = mask; m; m &= m - 1) n++;
  return n;
}

/** Every configuration of at most three of the ten causes, none first. */
export const CONFIGURATIONS: readonly Configuration[] = Array.from(
  { length: 1 << CAUSES.length },
  (_, mask) => mask,
).filter((mask) => bitCount(mask) <= MOST_TOGETHER);

/** Causes of each configuration as places in CAUSES, aligned with CONFIGURATIONS. */
export const MEMBERS: readonly (readonly number[])[] = CONFIGURATIONS.map((mask) =>
  CAUSES.map((_, i) => i).filter((i) => mask & (1 << i)),
);

/** Places of all configurations, for loops that may also run over some of them. */
export const EVERY_CONFIGURATION: Int32Array = Int32Array.from(CONFIGURATIONS, (_, k) => k);
