/**
 * The limits that readings are judged by, with unit, source and how sure it is. A reading on the good side of one
 * never means that metal may be touched.
 */
export interface Limit {
  value: number;
  unit: "V" | "ohm" | "Mohm" | "kohm" | "mA" | "ft" | "A";
  source: string;
}

const limit = (value: number, unit: Limit["unit"], source: string): Limit => ({ value, unit, source });

/** Between sections, or from metal to ground: from here on people stand back. Engineering judgement below 60364-4-41. */
export const STOP_AC_V = limit(15, "V", "engineering judgement, below the touch-voltage limits of IEC 60364-4-41");
export const STOP_DC_V = limit(30, "V", "engineering judgement, below the touch-voltage limits of IEC 60364-4-41");
/** From here on a potential asks for an explanation. Below it nothing is reassured. */
export const WATCH_V = limit(1, "V", "engineering judgement");
/** A bonding joint is good up to this. */
export const BOND_PASS_OHM = limit(0.1, "ohm", "UL 2703 bonding path, seen in one guide");
/** And bad above this. */
export const BOND_FAIL_OHM = limit(1, "ohm", "engineering judgement");
/** Decides only whether a single rod, pipe or plate needs a supplemental electrode. */
export const SINGLE_ELECTRODE_OHM = limit(25, "ohm", "NEC 250.53(A)(2) Exception");
/** Length of a rod or pipe in contact with soil. */
export const ROD_CONTACT_FT = limit(8, "ft", "NEC 250.53, from memory");
/** Distance of a supplemental electrode from the single one. */
export const ELECTRODE_SPACING_FT = limit(6, "ft", "NEC 250.53(A)(3), trade article");
/** Depth of the trench for a rod that rock lets go in neither upright nor slanted. */
export const ROD_TRENCH_FT = limit(2.5, "ft", "NEC 250.53, from memory");
/** Largest slant of a rod from upright where rock stops it, degrees. NEC 250.53, from memory. */
export const ROD_SLANT_DEG = 45;

/**
 * Where the potential probe of a fall-of-potential reading stands: 61.8 % of the way from the electrode to the current
 * probe, ft or m alike.
 * @throws RangeError when the distance is not a finite number above 0
 * @source earth-testing handbook: 120 ft gives 74 ft
 */
export function potentialProbeAt(distance: number): number {
  if (!Number.isFinite(distance) || distance <= 0)
    throw new RangeError(`potentialProbeAt requires a distance above 0, got ${distance}`);
  return 0.618 * distance;
}

/** Divides the largest DC voltage to give the smallest array insulation before start-up. From memory. */
export const INSULATION_CURRENT_MA = limit(30, "mA", "IEC 62109-2, from memory");
/** Taken where the inverter's largest DC voltage is unknown: that of a 1500 V array. */
export const INSULATION_UNKNOWN_KOHM = limit(50, "kohm", "IEC 62109-2 at 1500 V, computed");

/** IEC 62446-1: smallest test voltage and insulation by system voltage. Rows to 120 V and above 1000 V from memory. */
export const INSULATION_TEST_ROWS: readonly { upToV: number; testV: number; minimumMohm: number }[] = [
  { upToV: 120, testV: 250, minimumMohm: 0.5 },
  { upToV: 500, testV: 500, minimumMohm: 1 },
  { upToV: 1000, testV: 1000, minimumMohm: 1 },
  { upToV: Number.POSITIVE_INFINITY, testV: 1500, minimumMohm: 1 },
];

/**
 * Row of IEC 62446-1 for a system voltage. Exactly 120 V belongs to the second row, exactly 500 and 1000 V to the
 * lower of their two rows.
 */
export function insulationTestRow(systemV: number): (typeof INSULATION_TEST_ROWS)[number] {
  if (!Number.isFinite(systemV) || systemV <= 0)
    throw new RangeError(`insulationTestRow requires a voltage above 0, got ${systemV}`);
  const row = INSULATION_TEST_ROWS.find((each) => (each.upToV === 120 ? systemV < 120 : systemV <= each.upToV));
  return row as (typeof INSULATION_TEST_ROWS)[number];
}

/**
 * Smallest array insulation with which an inverter may run, kohm: the larger of V_max / 30 mA and the inverter's own
 * limit.
 * @param maxDcV null where unknown: 50 kohm stands in for the first
 */
export function runningInsulationKohm(maxDcV: number | null, inverterLimitKohm: number | null): number {
  const byVoltage = maxDcV === null ? INSULATION_UNKNOWN_KOHM.value : maxDcV / INSULATION_CURRENT_MA.value;
  return Math.max(byVoltage, inverterLimitKohm ?? 0);
}

/**
 * Continuous residual current at which an inverter must stop, mA: 300 up to 30 kVA, above it 10 a kVA.
 * @source IEC 62109-2; to 30 kVA in two inverter manuals, above in an installation note
 */
export function residualTripMa(ratedKva: number): number {
  if (!Number.isFinite(ratedKva) || ratedKva <= 0)
    throw new RangeError(`residualTripMa requires a rating above 0, got ${ratedKva}`);
  return ratedKva <= 30 ? 300 : 10 * ratedKva;
}
