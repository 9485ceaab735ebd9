import { normalDeviate, type Rng } from "../core/random.ts";
import { CAUSES, type Cause, type Check } from "../core/records.ts";
import { expit, logit } from "../core/statistics.ts";

export interface Provenance {
  kind: "published" | "common_practice" | "judgement";
  source: string;
}

/** Units of the rows that money is reckoned with; 0 is a value there. */
export const LOSS_UNITS = [
  "money",
  "money per kW",
  "money per kWh",
  "kWh per kW",
  "chance a year",
  "share",
  "share a year",
  "weight",
  "hours",
  "days",
  "sites",
  "drawn years",
] as const;
export type LossUnit = (typeof LOSS_UNITS)[number];

/** One number of the model. */
export interface ParameterRow {
  key: string;
  value: number;
  unit:
    | "probability"
    | "per 1000 h"
    | "ohm"
    | "V"
    | "Mohm"
    | "kohm"
    | "log sd"
    | "log odds"
    | "factor"
    | "count"
    | "minutes"
    | LossUnit;
  /** Spread: standard deviation on the log scale (log odds for probabilities, plain for log odds). */
  spread: number;
  provenance: Provenance;
  /** True: no part of the diagnosis, so it is not drawn for the bands of probabilities and has no spread. */
  fixed?: true;
}

/** Every number that a diagnosis rests on, under one version. */
export interface ParameterTable {
  version: string;
  rows: readonly ParameterRow[];
}

/** States of the weather that have a rate of their own; snow and wind use the dry rate. */
export const RATE_STATES = ["dry", "hot", "rain", "dew", "thunder"] as const;
export type RateState = (typeof RATE_STATES)[number];

const JUDGEMENT: Provenance = {
  kind: "judgement",
  source: "engineering judgement until confirmed visits replace it",
};
const LOG_SPREAD = 0.35;

function row(
  key: string,
  value: number,
  unit: ParameterRow["unit"],
  spread = LOG_SPREAD,
  provenance = JUDGEMENT,
): ParameterRow {
  return { key, value, unit, spread, provenance };
}

/** Prior; onsets per 1000 h dry, hot, rain, dew, thunder; share cleared on drying; share that trips several inverters. */
const CAUSE_TABLE: Record<Cause, readonly [number, readonly [number, number, number, number, number], number, number]> =
  {
    open_section_bond: [0.06, [0.8, 0.6, 10, 5, 10], 0.8, 0.6],
    high_resistance_bond: [0.08, [0.5, 0.7, 6, 3.5, 6], 0.7, 0.3],
    isolated_electrode: [0.04, [0.3, 0.2, 2.5, 1, 9], 0.5, 0.5],
    egc_undersized: [0.04, [0.01, 0.01, 0.01, 0.01, 0.01], 0.5, 0.3],
    egc_broken: [0.02, [0.3, 0.4, 3, 1.5, 4], 0.5, 0.3],
    conductor_insulation: [0.06, [0.9, 1.8, 11, 5, 12], 0.7, 0.12],
    connector_ingress: [0.06, [0.6, 0.4, 13, 9, 14], 0.55, 0.12],
    module_insulation: [0.04, [1.2, 1.6, 5, 9, 5], 0.6, 0.3],
    surge_damage: [0.02, [1.5, 1.5, 2, 1.5, 30], 0.15, 0.25],
    detector_fault: [0.1, [3.5, 4.5, 3.5, 3.5, 4], 0.2, 0.05],
  };
const BACKGROUND: readonly [readonly [number, number, number, number, number], number, number] = [
  [0.25, 0.3, 0.5, 0.4, 0.6],
  0.3,
  0.15,
];

/** Share of onsets after rain that come two to eight hours later rather than in it. */
const LATE_SHARE: Partial<Record<Cause, number>> = {
  connector_ingress: 0.65,
  detector_fault: 0.5,
  module_insulation: 0.4,
};
/** Share of onsets in the first hour of light. */
const DAWN_SHARE: Partial<Record<Cause, number>> = {
  module_insulation: 0.45,
  detector_fault: 0.25,
  connector_ingress: 0.2,
};

/** Median reading with the cause present where measured. */
const READING_TABLE: Record<
  string,
  { unit: ParameterRow["unit"]; healthy: number; causes: Partial<Record<Cause, number>> }
> = {
  bond_resistance: {
    unit: "ohm",
    healthy: 0.06,
    causes: { open_section_bond: 4, high_resistance_bond: 0.8, egc_broken: 5 },
  },
  section_potential: {
    unit: "V",
    healthy: 0.25,
    causes: { open_section_bond: 7, high_resistance_bond: 1, egc_broken: 7, isolated_electrode: 1.5 },
  },
  insulation_resistance: {
    unit: "Mohm",
    healthy: 25,
    causes: { conductor_insulation: 0.9, connector_ingress: 1.5, module_insulation: 2.5, surge_damage: 2 },
  },
  electrode_resistance: { unit: "ohm", healthy: 9, causes: { isolated_electrode: 45 } },
  reported_insulation: {
    unit: "kohm",
    healthy: 4000,
    causes: { conductor_insulation: 350, connector_ingress: 350, module_insulation: 600, surge_damage: 500 },
  },
  insulation_wet_to_dry: {
    unit: "factor",
    healthy: 0.6,
    causes: { conductor_insulation: 0.2, connector_ingress: 0.15, module_insulation: 0.25 },
  },
  insulation_wet_change: {
    unit: "factor",
    healthy: 1,
    causes: { conductor_insulation: 0.45, connector_ingress: 0.45, module_insulation: 0.55 },
  },
  residual_wet_to_dry: {
    unit: "factor",
    healthy: 1.2,
    causes: { conductor_insulation: 3, connector_ingress: 3, module_insulation: 2.5 },
  },
};

/** Chance that a check fails because of the cause, and by mistake. */
const CHECK_TABLE: Record<Check, { falsePositive: number; finds: Partial<Record<Cause, number>> }> = {
  bond_resistance: {
    falsePositive: 0.05,
    finds: { open_section_bond: 0.7, high_resistance_bond: 0.6, egc_broken: 0.5 },
  },
  section_potential: {
    falsePositive: 0.05,
    finds: { open_section_bond: 0.5, egc_broken: 0.4, high_resistance_bond: 0.2 },
  },
  insulation_resistance: {
    falsePositive: 0.05,
    finds: { conductor_insulation: 0.6, connector_ingress: 0.5, module_insulation: 0.5, surge_damage: 0.4 },
  },
  electrode_resistance: { falsePositive: 0.1, finds: { isolated_electrode: 0.3 } },
  egc_continuous: { falsePositive: 0.03, finds: { egc_broken: 0.85 } },
  egc_size: { falsePositive: 0.03, finds: { egc_undersized: 0.85 } },
  bare_metal_contact: { falsePositive: 0.08, finds: { high_resistance_bond: 0.65 } },
  listed_hardware: { falsePositive: 0.08, finds: { high_resistance_bond: 0.55 } },
  section_jumper: { falsePositive: 0.04, finds: { open_section_bond: 0.7 } },
  all_metal_bonded: { falsePositive: 0.05, finds: { open_section_bond: 0.5, high_resistance_bond: 0.25 } },
  electrode_bonded: { falsePositive: 0.03, finds: { isolated_electrode: 0.8 } },
  electrode_depth: { falsePositive: 0.05, finds: { isolated_electrode: 0.15 } },
  aluminum_clear_of_earth: { falsePositive: 0.04, finds: { high_resistance_bond: 0.15, isolated_electrode: 0.1 } },
  inverter_ground_terminal: { falsePositive: 0.04, finds: { egc_broken: 0.4, high_resistance_bond: 0.2 } },
  battery_electrode: { falsePositive: 0.04, finds: { isolated_electrode: 0.4 } },
  conductor_condition: { falsePositive: 0.05, finds: { conductor_insulation: 0.5 } },
  connector_condition: { falsePositive: 0.05, finds: { connector_ingress: 0.6 } },
  enclosure_dry: { falsePositive: 0.05, finds: { connector_ingress: 0.5 } },
  surge_protection: { falsePositive: 0.06, finds: { surge_damage: 0.4 } },
};

/** What a site's own description adds to the log odds of a cause. */
const ATTRIBUTE_TABLE: Record<string, Partial<Record<Cause, number>>> = {
  several_sections: { open_section_bond: 1 },
  bond_not_recorded: { open_section_bond: 0.5 },
  bond_recorded: { open_section_bond: -0.7 },
  bond_method_none: { open_section_bond: 2 },
  hardware_unlisted: { high_resistance_bond: 1.3 },
  hardware_unknown: { high_resistance_bond: 0.6 },
  hardware_listed: { high_resistance_bond: -0.4 },
  array_electrode_not_bonded: { isolated_electrode: 3.2 },
  array_electrode_unknown: { isolated_electrode: 0.7 },
  array_electrode_none_or_bonded: { isolated_electrode: -1.2 },
  battery_separate_electrode: { isolated_electrode: 1.2 },
  near_coast: { high_resistance_bond: 0.6, module_insulation: 0.6, connector_ingress: 0.7 },
  decade_of_age: {
    high_resistance_bond: 0.5,
    conductor_insulation: 0.5,
    connector_ingress: 0.5,
    module_insulation: 0.5,
  },
};

const SINGLES: ParameterRow[] = [
  row("background.spread", 0.9, "log sd", 0.2),
  row("severity.spread", 0.8, "log sd", 0.2),
  row("silent.bonding", 0.25, "probability"),
  row("events.overdispersion", 1.6, "factor", 0.2),
  row("detector.fuse", 0.6, "factor", 0.3, {
    kind: "published",
    source: "direction: Inverter Ground-Fault Detection Blind Spot, Solar ABCs 2013 (from memory); size: judgement",
  }),
  row("detector.insulation_check", 0.6, "factor", 0.3),
  row("reading.miss.dry", 0.35, "probability"),
  row("reading.miss.wet", 0.1, "probability"),
  row("reading.spread", 0.9, "log sd", 0.15),
  row("reading.relative_spread", 0.4, "log sd", 0.2),
  row("reading.doubtful", 1.6, "factor", 0.15),
  row("reading.two_lead_floor", 0.3, "ohm", 0.2),
  row("record.sensitivity", 0.85, "probability"),
  row("record.falsePositive", 0.05, "probability"),
  row("repair.confirmed.both", -3.5, "log odds", 0.4),
  row("repair.confirmed.one", -2.5, "log odds", 0.4),
  row("repair.confirmed.none", -1.5, "log odds", 0.4),
  row("repair.unconfirmed", -0.5, "log odds", 0.3),
  row("repair.presentBefore", 0.5, "probability"),
  row("leak.byEpisode", 0.15, "probability"),
  row("leak.silent", 0.04, "probability"),
  row("leak.ofCause", 0.85, "probability"),
  row("touch.open_section_bond", 1, "factor", 0),
  row("touch.egc_broken", 1, "factor", 0),
  row("touch.high_resistance_bond", 0.35, "probability"),
  row("touch.isolated_electrode", 0.4, "probability"),
  row("touch.egc_undersized", 0.2, "probability"),
  row("shared.installer", 0.6, "log odds", 0.1),
  row("shared.batch", 0.6, "log odds", 0.1),
  row("audit.share", 0.05, "probability", 0),
  row("repeat.weight", 0.5, "probability"),
];

function rateRows(name: string, rates: readonly number[]): ParameterRow[] {
  return RATE_STATES.map((state, i) => row(`rate.${name}.${state}`, rates[i] as number, "per 1000 h"));
}

function allRows(): ParameterRow[] {
  const rows: ParameterRow[] = [...SINGLES];
  for (const cause of CAUSES) {
    const [prior, rates, clears, several] = CAUSE_TABLE[cause];
    rows.push(row(`prior.${cause}`, prior, "probability"));
    rows.push(...rateRows(cause, rates));
    rows.push(row(`clears.${cause}`, clears, "probability"), row(`several.${cause}`, several, "probability"));
    rows.push(
      row(`late.${cause}`, LATE_SHARE[cause] ?? 0.25, "probability"),
      row(`dawn.${cause}`, DAWN_SHARE[cause] ?? 0.12, "probability"),
    );
  }
  rows.push(...rateRows("background", BACKGROUND[0]));
  rows.push(
    row("clears.background", BACKGROUND[1], "probability"),
    row("several.background", BACKGROUND[2], "probability"),
  );
  rows.push(row("late.background", 0.4, "probability"), row("dawn.background", 0.15, "probability"));
  for (const [name, { unit, healthy, causes }] of Object.entries(READING_TABLE)) {
    rows.push(row(`reading.${name}.healthy`, healthy, unit));
    for (const [cause, median] of Object.entries(causes)) rows.push(row(`reading.${name}.${cause}`, median, unit));
  }
  for (const [check, { falsePositive, finds }] of Object.entries(CHECK_TABLE)) {
    rows.push(row(`check.${check}.falsePositive`, falsePositive, "probability"));
    for (const [cause, p] of Object.entries(finds)) rows.push(row(`check.${check}.${cause}`, p, "probability"));
  }
  for (const [name, causes] of Object.entries(ATTRIBUTE_TABLE)) {
    for (const [cause, weight] of Object.entries(causes))
      rows.push(row(`attribute.${name}.${cause}`, weight, "log odds", 0.3));
  }
  rows.push({ ...row("visit.checkout_grace", 30, "minutes", 0), fixed: true });
  rows.push(row("inspector.spread", 0.6, "log sd", 0));
  return rows;
}

export const DEFAULT_PARAMETERS: ParameterTable = { version: "judgement-4", rows: allRows() };

/** Values by key. */
export type ParameterValues = ReadonlyMap<string, number>;

const known = new WeakMap<ParameterTable, ParameterValues>();

/** Values of a table as it stands; the same map each time. */
export function valuesOf(table: ParameterTable): ParameterValues {
  let values = known.get(table);
  if (!values) {
    values = new Map(table.rows.map((r) => [r.key, r.value]));
    known.set(table, values);
  }
  return values;
}

/** One table drawn from the spreads: every number moves, on the scale that keeps it possible. */
export function drawValues(table: ParameterTable, rng: Rng): ParameterValues {
  return new Map(table.rows.map((r) => [r.key, r.fixed ? r.value : movedValue(r, normalDeviate(rng))]));
}

/** The value of a row moved by a number of its spreads. */
export function movedValue(r: ParameterRow, steps: number): number {
  return drawn(r, steps * r.spread);
}

function drawn(r: ParameterRow, step: number): number {
  if (r.unit === "probability") return expit(logit(r.value) + step);
  if (r.unit === "log odds") return r.value + step;
  return r.value * Math.exp(step);
}

/**
 * A value by key.
 * @throws RangeError when the table has no such row: a missing number must never read as zero
 */
export function parameter(values: ParameterValues, key: string): number {
  const value = values.get(key);
  if (value === undefined) throw new RangeError(`the parameter table has no row "${key}"`);
  return value;
}
