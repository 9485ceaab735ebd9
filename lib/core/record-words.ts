/** The words that columns of the contract take, in its order, and their types. */

export const MOUNTINGS = ["roof", "ground", "carport"] as const;
export const ACCESSES = ["public", "residential", "commercial", "fenced"] as const;
export const NEC_EDITIONS = ["2014", "2017", "2020", "2023"] as const;
export const ELECTRODES = ["rod", "concrete_encased", "ring", "plate", "building_steel", "unknown"] as const;
export const ARRAY_ELECTRODES = ["none", "bonded", "not_bonded", "unknown"] as const;
export const CONDUCTOR_MATERIALS = ["copper", "aluminum"] as const;
export const BATTERIES = ["none", "common_electrode", "separate_electrode", "unknown"] as const;
export const YES_NO_UNKNOWN = ["yes", "no", "unknown"] as const;
export const TOPOLOGIES = ["isolated", "non_isolated", "unknown"] as const;
export const DETECTORS = ["fuse", "residual_current", "insulation_check", "several", "unknown"] as const;
export const DC_GROUNDINGS = ["solid", "functional", "ungrounded", "unknown"] as const;
export const RESETS = ["auto", "limited_auto", "manual", "unknown"] as const;
export const ELECTRONICS = ["none", "optimizer", "micro", "unknown"] as const;
export const BOND_METHODS = ["integrated", "clip", "lug_and_jumper", "none", "unknown"] as const;
export const RESET_BY = ["auto", "remote", "on_site", "unknown"] as const;
export const CLOSED_AS = ["self_cleared", "repaired", "no_fault_found", "other"] as const;
export const INVERTER_STATES = [
  "reporting",
  "running",
  "silent",
  "off_manual",
  "off_grid",
  "locked_out",
  "isolated",
] as const;
export const OUTCOMES = ["pass", "fail", "unable"] as const;
export const READING_UNITS = ["ohm", "kohm", "megohm", "volt", "awg", "foot"] as const;
export const QUANTITIES = ["ac_rms", "dc"] as const;
export const METER_IMPEDANCES = ["high", "low", "unknown"] as const;
export const METHODS = ["two_lead", "four_wire", "clamp", "fall_of_potential", "insulation_1", "insulation_2"] as const;
export const SURFACES = ["dry", "damp", "wet", "unknown"] as const;
export const SYSTEM_STATES = ["running", "stopped", "isolated", "unknown"] as const;
export const CHECKS = [
  "bond_resistance",
  "section_potential",
  "insulation_resistance",
  "electrode_resistance",
  "egc_continuous",
  "egc_size",
  "bare_metal_contact",
  "listed_hardware",
  "section_jumper",
  "all_metal_bonded",
  "electrode_bonded",
  "electrode_depth",
  "aluminum_clear_of_earth",
  "inverter_ground_terminal",
  "battery_electrode",
  "conductor_condition",
  "connector_condition",
  "enclosure_dry",
  "surge_protection",
] as const;
export const BONDING_CAUSES = [
  "open_section_bond",
  "high_resistance_bond",
  "isolated_electrode",
  "egc_undersized",
  "egc_broken",
] as const;
export const OTHER_CAUSES = [
  "conductor_insulation",
  "connector_ingress",
  "module_insulation",
  "surge_damage",
  "detector_fault",
] as const;
/** Every cause that can be present; `none_found` is an outcome of a visit, not a cause. */
export const CAUSES = [...BONDING_CAUSES, ...OTHER_CAUSES] as const;
export const REPAIR_CAUSES = [...CAUSES, "none_found"] as const;
export const CONFIRMED = ["yes", "no"] as const;
export const TESTED_AFTER = ["none", "continuity", "insulation", "both"] as const;
export const VISIT_STATUSES = ["planned", "promised", "done", "cancelled"] as const;
export const SKILLS = ["electrician", "roof", "battery"] as const;
export const WEEKDAYS = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"] as const;
export const PATH_PIECE_KINDS = [
  "combiner",
  "ac_disconnect",
  "load_centre",
  "ground_bar",
  "metal_conduit",
  "flashing",
  "racking",
  "electrode",
  "other",
] as const;
export const PIECE_BOND_METHODS = [
  "listed_fitting",
  "lug_and_jumper",
  "clamp",
  "bonding_bushing",
  "terminal_bar",
  "weld_or_compression",
  "none",
  "unknown",
] as const;
export const COVERAGE_KINDS = ["workmanship", "equipment", "property_insurance", "liability_insurance"] as const;
export const LIMIT_BASES = ["per_occurrence", "aggregate"] as const;
export const COVERAGE_TRIGGERS = ["occurrence", "claims_made"] as const;
export const COVERAGE_CONDITIONS = [
  "code_compliant_grounding",
  "annual_inspection",
  "licensed_installer",
  "documented_repairs",
] as const;

export type Check = (typeof CHECKS)[number];
export type Cause = (typeof CAUSES)[number];
export type BondingCause = (typeof BONDING_CAUSES)[number];
export type RepairCause = (typeof REPAIR_CAUSES)[number];
export type NecEdition = (typeof NEC_EDITIONS)[number];
export type ConductorMaterial = (typeof CONDUCTOR_MATERIALS)[number];
export type Skill = (typeof SKILLS)[number];
export type InverterState = (typeof INVERTER_STATES)[number];
export type YesNoUnknown = (typeof YES_NO_UNKNOWN)[number];
