import type { AwgSize, ConductorMaterial } from "../core/records.ts";
import { type EditionNotLoaded, EGC_ROWS, egcRowConfirmed, loadedEdition, STANDARD_OCPD_A } from "./code-tables.ts";
import { circularMilsOf, thinnestSize } from "./conductor-size.ts";

/** A minimum size with the rule that gives it. */
export interface RequiredSize {
  kind: "size";
  size: AwgSize;
  /** Rule numbers only. */
  rule: string;
}
/** The tables end or are not confirmed here: an engineer decides. */
export interface NoRow {
  kind: "no_row";
  says: string;
}

const finiteAbove0 = (value: number, what: string) => {
  if (!Number.isFinite(value) || value <= 0)
    throw new RangeError(`${what} requires a finite number above 0, got ${value}`);
};

/** Removes the last bits of binary arithmetic so that 9.6 A x 1.5625 is 15 A and not a hair above. */
const tidy = (amperes: number) => Number(amperes.toPrecision(12));

/**
 * Minimum wire-type equipment grounding conductor by the rating of the overcurrent device.
 *
 * @param ocpdA rating or setting of the device, A
 * @returns the first row whose rating is not below the device's
 * @throws RangeError when ocpdA is not a finite number above 0
 * @source NEC Table 250.122, values as in code-tables.ts
 * @example minimumEgc("2020", 70, "copper") // { kind: "size", size: "8", … }
 */
export function minimumEgc(
  edition: string | null,
  ocpdA: number,
  material: ConductorMaterial,
): RequiredSize | NoRow | EditionNotLoaded {
  finiteAbove0(ocpdA, "minimumEgc");
  const loaded = loadedEdition(edition);
  if (typeof loaded !== "string") return loaded;
  const row = EGC_ROWS.find((candidate) => candidate.ocpdA >= ocpdA);
  if (!row) return { kind: "no_row", says: `Table 250.122 ends at 6000 A; ${ocpdA} A needs an engineered size.` };
  if (!egcRowConfirmed(loaded, material, row)) {
    return { kind: "no_row", says: `The aluminum row for ${row.ocpdA} A of the 2014 edition is not confirmed here.` };
  }
  return { kind: "size", size: row[material], rule: "250.122" };
}

/** Facts for an equipment grounding conductor of a circuit whose conductors are larger than needed. */
export interface UpsizedCircuit {
  ocpdA: number;
  material: ConductorMaterial;
  /** Smallest circuit conductor with enough ampacity. */
  minimumConductor: AwgSize;
  /** Circuit conductor that is installed. */
  installedConductor: AwgSize;
  /** A PV DC circuit: 690.45 asks for no increase for voltage drop. */
  pvDcCircuit?: boolean;
}

/**
 * Minimum EGC of an upsized circuit: Table 250.122 enlarged in the ratio of circular mils, never above the circuit
 * conductor (250.122(A)). The ratio is not rounded: areas are compared as products of whole numbers.
 *
 * @returns as minimumEgc; the table size where the circuit is not upsized or is a PV DC circuit
 * @throws RangeError when a size does not exist or ocpdA is not above 0
 * @source NEC 250.122(A), (B); 690.45
 */
export function proportionalEgc(
  edition: string | null,
  circuit: UpsizedCircuit,
): RequiredSize | NoRow | EditionNotLoaded {
  const base = minimumEgc(edition, circuit.ocpdA, circuit.material);
  if (base.kind !== "size") return base;
  const minimum = circularMilsOf(circuit.minimumConductor);
  const installed = circularMilsOf(circuit.installedConductor);
  if (circuit.pvDcCircuit) return { ...base, rule: "250.122, 690.45" };
  if (installed <= minimum) return base;
  const baseArea = circularMilsOf(base.size);
  const grown = thinnestSize((area) => area * minimum >= baseArea * installed);
  if (!grown || grown.circularMils > installed) {
    return { kind: "size", size: circuit.installedConductor, rule: "250.122(A), (B)" };
  }
  return { kind: "size", size: grown.size, rule: "250.122(B)" };
}

/** Next standard rating at or above a current, A; null above 6000 A. NEC 240.6(A). */
export function nextStandardOcpdA(currentA: number): number | null {
  finiteAbove0(currentA, "nextStandardOcpdA");
  return STANDARD_OCPD_A.find((rating) => rating >= tidy(currentA)) ?? null;
}

export interface AssumedDevice {
  kind: "assumed_device";
  /** Current that the assumed device must carry, A. */
  currentA: number;
  /** The next standard rating, A; null above the list. Every EGC row is a standard rating, so both give one size. */
  standardA: number | null;
  rule: string;
}

/**
 * The device that is assumed for a PV circuit without one, to size its EGC.
 *
 * 2017 and later: 1.25 x 1.25 x sum of module Isc (690.8(A), 690.9(B)). 2014: the circuit's maximum current,
 * 1.25 x sum of Isc (690.8(A)), from memory.
 *
 * @param moduleIscA short-circuit current of one module at standard test conditions, A
 * @param parallelStrings strings in parallel in the circuit, a whole number of at least 1
 * @throws RangeError on values outside that
 */
export function assumedDevice(
  edition: string | null,
  moduleIscA: number,
  parallelStrings: number,
): AssumedDevice | EditionNotLoaded {
  finiteAbove0(moduleIscA, "assumedDevice (moduleIscA)");
  if (!Number.isInteger(parallelStrings) || parallelStrings < 1) {
    throw new RangeError(`assumedDevice requires a whole number of strings of at least 1, got ${parallelStrings}`);
  }
  const loaded = loadedEdition(edition);
  if (typeof loaded !== "string") return loaded;
  const factor = loaded === "2014" ? 1.25 : 1.5625;
  const currentA = tidy(factor * moduleIscA * parallelStrings);
  const rule = loaded === "2014" ? "690.45, 690.8(A)" : "690.45, 690.8(A), 690.9(B)";
  return { kind: "assumed_device", currentA, standardA: nextStandardOcpdA(currentA), rule };
}
