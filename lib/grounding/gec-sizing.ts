import type { AwgSize, ConductorMaterial, Site } from "../core/records.ts";
import {
  type EditionNotLoaded,
  GEC_ROWS,
  JUMPER_FRACTION,
  JUMPER_FRACTION_ABOVE_KCMIL,
  loadedEdition,
} from "./code-tables.ts";
import { circularMilsOf, compareConductorSizes, thinnestSize } from "./conductor-size.ts";
import type { NoRow, RequiredSize } from "./egc-sizing.ts";

/** The ungrounded conductors that a grounding electrode conductor or jumper is sized from. */
export interface ServiceConductors {
  size: AwgSize;
  material: ConductorMaterial;
  /** Sets in parallel; their areas add. Default 1. */
  parallelSets?: number;
}

function areaKcmil(service: ServiceConductors): number {
  const sets = service.parallelSets ?? 1;
  if (!Number.isInteger(sets) || sets < 1)
    throw new RangeError(`parallelSets requires a whole number of at least 1, got ${sets}`);
  return (circularMilsOf(service.size) * sets) / 1000;
}

const rowFor = (service: ServiceConductors) =>
  GEC_ROWS.find((row) => areaKcmil(service) <= row.upToKcmil[service.material]) as (typeof GEC_ROWS)[number];

/** Largest size that 250.66 ever asks for where this conductor is the sole connection to that electrode. */
function electrodeCap(
  electrode: Site["electrode"],
  material: ConductorMaterial,
  ringSize: AwgSize | null,
): AwgSize | null {
  if (electrode === "rod" || electrode === "plate") return material === "copper" ? "6" : "4";
  // 250.66(B) names copper only; aluminum to a concrete-encased electrode gets no cap here.
  if (electrode === "concrete_encased") return material === "copper" ? "4" : null;
  if (electrode === "ring") return ringSize;
  return null;
}

/**
 * Minimum grounding electrode conductor of an AC system.
 *
 * @param electrode what it runs to; a cap is applied for a rod, pipe or plate, a concrete-encased electrode, or a
 *   ring whose conductor size is given, taking it for the sole connection; null or unknown: no cap
 * @throws RangeError when a size does not exist
 * @source NEC Table 250.66 and 250.66(A), (B), (C); the ring's cap from memory
 */
export function minimumGec(
  edition: string | null,
  service: ServiceConductors,
  material: ConductorMaterial,
  electrode: Site["electrode"],
  ringSize: AwgSize | null = null,
): RequiredSize | EditionNotLoaded {
  const loaded = loadedEdition(edition);
  if (typeof loaded !== "string") return loaded;
  const size = rowFor(service)[material];
  const cap = electrodeCap(electrode, material, ringSize);
  if (cap !== null && compareConductorSizes(cap, size) < 0) {
    const letter = electrode === "concrete_encased" ? "(B)" : electrode === "ring" ? "(C)" : "(A)";
    return { kind: "size", size: cap, rule: `250.66${letter}` };
  }
  return { kind: "size", size, rule: "250.66" };
}

/**
 * Minimum main, system or supply-side bonding jumper: the rows of 250.66 and, above the last, an eighth of the area
 * of the ungrounded conductors (jumper and conductors of one material).
 * @throws RangeError when a size does not exist
 * @source NEC Table 250.102(C)(1)
 */
export function minimumBondingJumper(
  edition: string | null,
  service: ServiceConductors,
  material: ConductorMaterial,
): RequiredSize | NoRow | EditionNotLoaded {
  const loaded = loadedEdition(edition);
  if (typeof loaded !== "string") return loaded;
  const area = areaKcmil(service);
  if (area <= JUMPER_FRACTION_ABOVE_KCMIL[service.material]) {
    return { kind: "size", size: rowFor(service)[material], rule: "250.102(C)(1)" };
  }
  if (material !== service.material) {
    return {
      kind: "no_row",
      says: "Above the last row a jumper of another material than the conductors needs an engineered size.",
    };
  }
  const size = thinnestSize((circularMils) => circularMils >= area * 1000 * JUMPER_FRACTION);
  if (!size) return { kind: "no_row", says: "The jumper would exceed the largest standard size." };
  return { kind: "size", size: size.size, rule: "250.102(C)(1)" };
}

/**
 * Minimum grounding electrode conductor of a solidly grounded DC system: the largest supplied conductor, at least
 * 8 AWG copper or 6 AWG aluminum, at most 3/0 copper or 250 kcmil aluminum.
 * @throws RangeError when the size does not exist
 * @source NEC 250.166(B) and its cap
 */
export function minimumDcGec(
  edition: string | null,
  largestSupplied: AwgSize,
  material: ConductorMaterial,
): RequiredSize | EditionNotLoaded {
  const loaded = loadedEdition(edition);
  if (typeof loaded !== "string") return loaded;
  const floor = material === "copper" ? "8" : "6";
  const cap = material === "copper" ? "3/0" : "250kcmil";
  const size =
    compareConductorSizes(largestSupplied, floor) < 0
      ? floor
      : compareConductorSizes(largestSupplied, cap) > 0
        ? cap
        : largestSupplied;
  return { kind: "size", size, rule: "250.166" };
}

/** What an array's connection to ground is, which decides how it is sized and whether it may be spliced freely. */
export type ArrayGroundConnection =
  | { kind: "egc"; rule: string }
  | { kind: "gec"; rule: string }
  | { kind: "cannot_tell"; missing: string[] }
  | EditionNotLoaded;

/**
 * From 2017 the array's connection of a system that is not solidly grounded is an equipment grounding conductor
 * (sized by 250.122, no continuous run asked); a solidly grounded system has a grounding electrode conductor.
 * Before 2017 it cannot be told from the records.
 * @source NEC 690.47 (2017 rewrite), 250.122, 250.166
 */
export function arrayGroundConnection(
  edition: string | null,
  dcGrounding: "solid" | "functional" | "ungrounded" | "unknown" | null,
): ArrayGroundConnection {
  const loaded = loadedEdition(edition);
  if (typeof loaded !== "string") return loaded;
  if (dcGrounding === "solid")
    return { kind: "gec", rule: loaded === "2014" ? "690.47, 250.166" : "690.47(A), 250.166" };
  if (dcGrounding === null || dcGrounding === "unknown") return { kind: "cannot_tell", missing: ["dc_grounding"] };
  if (loaded === "2014") return { kind: "cannot_tell", missing: ["how the 2014 edition was applied at this site"] };
  return { kind: "egc", rule: "690.47(A), 250.122" };
}
