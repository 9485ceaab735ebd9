import { isInspectorKey } from "./inspector-key.ts";
import { LOSS_UNITS, type LossUnit, type ParameterRow, type ParameterTable, type Provenance } from "./parameters.ts";

/** What replaces a row of the defaults: its value, its spread, and where they come from. */
export interface ParameterOverride {
  value: number;
  spread: number;
  provenance: Provenance;
}
export type ParameterOverrides = Readonly<Record<string, ParameterOverride>>;

/** A row before and after. */
export interface ParameterChange {
  key: string;
  unit: ParameterRow["unit"];
  from: { value: number; spread: number };
  to: { value: number; spread: number };
}

/** Largest spread that still says anything: two on the log scale is a factor of seven either way. */
const MOST_SPREAD = 2;

/**
 * Defaults with some rows replaced. A key that the defaults no longer have is left out: it has nothing to replace. What
 * was learned of an inspector has no default and is added.
 * @param version name of the resulting table
 */
export function withOverrides(
  defaults: ParameterTable,
  overrides: ParameterOverrides,
  version: string,
): ParameterTable {
  const known = new Set(defaults.rows.map((row) => row.key));
  const people = Object.entries(overrides)
    .filter(([key]) => isInspectorKey(key) && !known.has(key))
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([key, override]) => ({ key, unit: "log odds" as const, ...override }));
  return {
    version,
    rows: [
      ...defaults.rows.map((row) => (Object.hasOwn(overrides, row.key) ? { ...row, ...overrides[row.key] } : row)),
      ...people,
    ],
  };
}

/** Every row of a table that differs from the defaults, by key. */
export function overridesOf(defaults: ParameterTable, table: ParameterTable): Record<string, ParameterOverride> {
  const before = new Map(defaults.rows.map((row) => [row.key, row]));
  const out: Record<string, ParameterOverride> = {};
  for (const { key, value, spread, provenance } of table.rows) {
    const row = before.get(key);
    const differs = row ? row.value !== value || row.spread !== spread : isInspectorKey(key);
    if (differs) out[key] = { value, spread, provenance };
  }
  return out;
}

/** What a table says of an inspector it does not name: as the fleet, and nothing left to say how far. */
const AS_THE_FLEET = { value: 0, spread: 0 };

/**
 * Rows whose value or spread differs, in the order of the tables. An inspector that one table does not name is there as
 * the fleet; other rows that only one table has are left out.
 */
export function changedRows(from: ParameterTable, to: ParameterTable): ParameterChange[] {
  const before = new Map(from.rows.map((row) => [row.key, row]));
  const after = new Set(to.rows.map((row) => row.key));
  const gone = from.rows.filter(({ key }) => isInspectorKey(key) && !after.has(key));
  return [...to.rows, ...gone.map((row) => ({ ...row, ...AS_THE_FLEET }))].flatMap(({ key, unit, value, spread }) => {
    const old = before.get(key) ?? (isInspectorKey(key) ? AS_THE_FLEET : undefined);
    if (!old || (old.value === value && old.spread === spread)) return [];
    return [{ key, unit, from: { value: old.value, spread: old.spread }, to: { value, spread } }];
  });
}

/**
 * Why a row may not take a value and a spread.
 * @returns a sentence without the key, or null where it may
 */
export function overrideProblem(
  { unit, fixed }: Pick<ParameterRow, "unit" | "fixed">,
  { value, spread }: { value: number; spread: number },
): string | null {
  if (!Number.isFinite(value)) return "the value must be a number";
  if (fixed && spread !== 0) return "this row has no spread: it is not drawn for the bands";
  if ((LOSS_UNITS as readonly string[]).includes(unit)) return lossProblem(unit as LossUnit, value);
  if (!(spread >= 0 && spread <= MOST_SPREAD)) return `the spread must be from 0 to ${MOST_SPREAD}`;
  if (unit === "probability" && !(value > 0 && value < 1))
    return "a probability must lie between 0 and 1, both left out";
  if (unit === "log odds" && Math.abs(value) > 10) return "log odds must be from -10 to 10";
  if (unit !== "probability" && unit !== "log odds" && !(value > 0 && value <= 1e6))
    return "the value must be above 0 and at most a million";
  return null;
}

/** Most that a row of a unit may say: beyond it a slip of the hand is likelier than a fact. */
const MOST: Record<LossUnit, number> = {
  money: 1e10,
  "money per kW": 1e7,
  "money per kWh": 1e4,
  "kWh per kW": 4000,
  "chance a year": 1,
  share: 1,
  "share a year": 10,
  weight: 10,
  hours: 8766,
  days: 3650,
  sites: 10_000,
  "drawn years": 200_000,
};

function lossProblem(unit: LossUnit, value: number): string | null {
  if (!(value >= 0 && value <= MOST[unit])) return `the value must be from 0 to ${MOST[unit].toLocaleString("en-US")}`;
  if (unit === "drawn years" && (value < 2000 || value % 2 !== 0))
    return "so many years must be an even number from 2,000 up, or the tail has too few of them";
  if (unit === "sites" && !Number.isInteger(value)) return "the value must be a whole number";
  return null;
}
