import { type AwgSize, type ConductorMaterial, NEC_EDITIONS, type NecEdition } from "../core/records.ts";

/**
 * Sizing tables of NFPA 70 by edition: rule numbers and values only. The 2014 to 2023 editions share these rows;
 * where a row of an edition has not been confirmed the lookup says so instead of guessing.
 * Values as seen in public copies and trade texts (two or more agreeing) unless a comment says memory.
 */

/** The edition asked for is not loaded; nothing is assumed in its place. */
export interface EditionNotLoaded {
  kind: "edition_not_loaded";
  edition: string | null;
}

/** Narrow an edition to a loaded one, or the value that refuses it. */
export function loadedEdition(edition: string | null): NecEdition | EditionNotLoaded {
  const loaded = NEC_EDITIONS.find((known) => known === edition);
  return loaded ?? { kind: "edition_not_loaded", edition };
}

export interface EgcRow {
  /** Rating or setting not exceeding, A. */
  ocpdA: number;
  copper: AwgSize;
  /** Copper-clad aluminum counts as aluminum, here and in every table. */
  aluminum: AwgSize;
}

const egc = (ocpdA: number, copper: AwgSize, aluminum: AwgSize): EgcRow => ({ ocpdA, copper, aluminum });

/** Table 250.122. */
export const EGC_ROWS: readonly EgcRow[] = [
  egc(15, "14", "12"),
  egc(20, "12", "10"),
  egc(60, "10", "8"),
  egc(100, "8", "6"),
  egc(200, "6", "4"),
  egc(300, "4", "2"),
  egc(400, "3", "1"),
  egc(500, "2", "1/0"),
  egc(600, "1", "2/0"),
  egc(800, "1/0", "3/0"),
  egc(1000, "2/0", "4/0"),
  egc(1200, "3/0", "250kcmil"),
  egc(1600, "4/0", "350kcmil"),
  egc(2000, "250kcmil", "400kcmil"),
  egc(2500, "350kcmil", "600kcmil"),
  egc(3000, "400kcmil", "600kcmil"),
  egc(4000, "500kcmil", "750kcmil"),
  egc(5000, "700kcmil", "1250kcmil"),
  egc(6000, "800kcmil", "1250kcmil"),
];

/**
 * Whether a row is confirmed for an edition. Aluminum above 3000 A changed about 2014 (from memory), so the 2014
 * edition gives no answer there.
 */
export function egcRowConfirmed(edition: NecEdition, material: ConductorMaterial, row: EgcRow): boolean {
  return !(edition === "2014" && material === "aluminum" && row.ocpdA > 3000);
}

export interface GecRow {
  /** Largest area of the ungrounded conductor for this row, kcmil by its material; Infinity in the last. */
  upToKcmil: Record<ConductorMaterial, number>;
  copper: AwgSize;
  aluminum: AwgSize;
}

const gec = (copperUpTo: number, aluminumUpTo: number, copper: AwgSize, aluminum: AwgSize): GecRow => ({
  upToKcmil: { copper: copperUpTo, aluminum: aluminumUpTo },
  copper,
  aluminum,
});

/** Table 250.66 (AC systems), by area: 2 AWG = 66.36, 1/0 = 105.6, 2/0 = 133.1, 3/0 = 167.8, 4/0 = 211.6 kcmil. */
export const GEC_ROWS: readonly GecRow[] = [
  gec(66.36, 105.6, "8", "6"),
  gec(105.6, 167.8, "6", "4"),
  gec(167.8, 250, "4", "2"),
  gec(350, 500, "2", "1/0"),
  gec(600, 900, "1/0", "3/0"),
  gec(1100, 1750, "2/0", "4/0"),
  gec(Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY, "3/0", "250kcmil"),
];

/** 250.102(C)(1): above this area, kcmil, the jumper is this fraction of the ungrounded area instead of the last row. */
export const JUMPER_FRACTION_ABOVE_KCMIL: Record<ConductorMaterial, number> = { copper: 1100, aluminum: 1750 };
export const JUMPER_FRACTION = 0.125;

/** 240.6(A) standard ampere ratings of fuses and fixed-trip breakers (from memory, high). */
export const STANDARD_OCPD_A: readonly number[] = [
  15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300, 350, 400, 450, 500, 600,
  700, 800, 1000, 1200, 1600, 2000, 2500, 3000, 4000, 5000, 6000,
];
