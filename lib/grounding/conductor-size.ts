import type { AwgSize } from "../core/records.ts";

/** A conductor size that exists as building wire. */
export interface ConductorSize {
  /** As the contract writes it: `14`…`1`, `1/0`…`4/0`, `250kcmil`. */
  size: AwgSize;
  /** Area in circular mils. */
  circularMils: number;
}

/** Areas of NEC Chapter 9 Table 8, circular mils. 10, 8 and 6 AWG seen in a public copy; the rest from memory. */
const AWG_AREAS: readonly (readonly [AwgSize, number])[] = [
  ["14", 4110],
  ["12", 6530],
  ["10", 10380],
  ["8", 16510],
  ["6", 26240],
  ["4", 41740],
  ["3", 52620],
  ["2", 66360],
  ["1", 83690],
  ["1/0", 105600],
  ["2/0", 133100],
  ["3/0", 167800],
  ["4/0", 211600],
];
const KCMIL_SIZES = [250, 300, 350, 400, 500, 600, 700, 750, 800, 900, 1000, 1250, 1500, 1750, 2000] as const;

/** Every standard size, smallest first. */
export const CONDUCTOR_SIZES: readonly ConductorSize[] = [
  ...AWG_AREAS.map(([size, circularMils]) => ({ size, circularMils })),
  ...KCMIL_SIZES.map((kcmil) => ({ size: `${kcmil}kcmil`, circularMils: kcmil * 1000 })),
];

const BY_NAME = new Map(CONDUCTOR_SIZES.map((entry) => [entry.size, entry]));

/**
 * Read a conductor size. Case, spaces and a leading `#` or trailing `AWG` are forgiven; a size that is not made
 * (13, 5/0, 260kcmil) is not rounded to a neighbour.
 * @returns the size, or null when the text names none
 */
export function parseConductorSize(text: string | null): ConductorSize | null {
  if (text === null) return null;
  const plain = text.toLowerCase().replace(/\s+/g, "").replace(/^#/, "").replace(/awg$/, "");
  return BY_NAME.get(plain) ?? null;
}

/**
 * Circular mils of a size.
 * @throws RangeError when there is no such size: for tables and tests, not for records
 */
export function circularMilsOf(size: AwgSize): number {
  const found = parseConductorSize(size);
  if (!found) throw new RangeError(`circularMilsOf requires a standard conductor size, got "${size}"`);
  return found.circularMils;
}

/**
 * Negative when a is thinner than b, 0 when equal, positive when thicker.
 * @throws RangeError when either is no standard size
 */
export function compareConductorSizes(a: AwgSize, b: AwgSize): number {
  return circularMilsOf(a) - circularMilsOf(b);
}

/** Thinnest standard size for which `enough(circularMils)` holds; null when none is. */
export function thinnestSize(enough: (circularMils: number) => boolean): ConductorSize | null {
  return CONDUCTOR_SIZES.find((entry) => enough(entry.circularMils)) ?? null;
}

/** A size as people say it: `8 AWG`, `250 kcmil`. */
export function sayConductorSize(size: AwgSize): string {
  return size.endsWith("kcmil") ? `${size.slice(0, -5)} kcmil` : `${size} AWG`;
}

/** How many standard steps b lies above a (negative: below). */
export function stepsBetween(a: AwgSize, b: AwgSize): number {
  const place = (size: AwgSize) => CONDUCTOR_SIZES.findIndex((entry) => entry.circularMils === circularMilsOf(size));
  return place(b) - place(a);
}
