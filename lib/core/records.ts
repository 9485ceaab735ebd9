/**
 * The records of a fleet as the pure rooms see them: parsed, in SI or trade units, `null` for unknown.
 * Column names, units and meanings are those of the outside contract; a field here is the camel-case
 * form of its column. Nothing here knows how a record is stored.
 *
 * Instants are epoch milliseconds UTC. `hourIndex` (see weather-series.ts) is epoch hours.
 */

/** Epoch milliseconds, UTC. */
export type Instant = number;
/** Calendar day `YYYY-MM-DD`, in the zone that the field's comment names (the site's unless said). */
export type LocalDay = string;

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

/** Conductor size as written in the contract: `14`…`1`, `1/0`…`4/0`, or kcmil as `250kcmil`. */
export type AwgSize = string;

export interface Site {
  siteId: string;
  name: string;
  portfolio: string;
  latitude: number;
  longitude: number;
  timeZone: string;
  dcKw: number;
  acKw: number;
  commissionedOn: LocalDay | null;
  mounting: (typeof MOUNTINGS)[number] | null;
  access: (typeof ACCESSES)[number] | null;
  installer: string | null;
  necEdition: NecEdition | null;
  energyPricePerKwh: number | null;
  electrode: (typeof ELECTRODES)[number] | null;
  electrodeLengthFt: number | null;
  separateArrayElectrode: (typeof ARRAY_ELECTRODES)[number] | null;
  gecAwg: AwgSize | null;
  gecMaterial: ConductorMaterial | null;
  serviceConductorAwg: AwgSize | null;
  acVoltageV: number | null;
  battery: (typeof BATTERIES)[number] | null;
  nearCoast: YesNoUnknown | null;
  stationId: string | null;
  annualKwh: number | null;
  insuredValue: number | null;
  currency: string | null;
  contactName: string | null;
  contactPhone: string | null;
  emergencyPhone: string | null;
  /** HH:MM, site-local. */
  accessFrom: string | null;
  accessTo: string | null;
  accessNote: string | null;
  permitAuthority: string | null;
  roofPitchDeg: number | null;
}

export interface Inverter {
  siteId: string;
  inverterId: string;
  acKw: number;
  topology: (typeof TOPOLOGIES)[number] | null;
  acOcpdA: number | null;
  egcAwg: AwgSize | null;
  egcMaterial: ConductorMaterial | null;
  /** Vocabulary of its fault codes; `sunspec_evt1` where the file said nothing. */
  codeSystem: string;
  commissionedOn: LocalDay | null;
  serial: string | null;
  firmware: string | null;
  detector: (typeof DETECTORS)[number] | null;
  tripMa: number | null;
  insulationLimitKohm: number | null;
  maxDcV: number | null;
  dcGrounding: (typeof DC_GROUNDINGS)[number] | null;
  reset: (typeof RESETS)[number] | null;
  electronics: (typeof ELECTRONICS)[number] | null;
  logSource: string | null;
}

export interface Section {
  siteId: string;
  sectionId: string;
  inverterId: string;
  dcKw: number | null;
  /** Clockwise from north. */
  azimuthDeg: number | null;
  tiltDeg: number | null;
  parallelStrings: number | null;
  moduleIscA: number | null;
  /** Amperes; `"none"`: there is no overcurrent device; null: unknown. */
  ocpdA: number | "none" | null;
  combinerId: string | null;
  egcAwg: AwgSize | null;
  egcMaterial: ConductorMaterial | null;
  bondMethod: (typeof BOND_METHODS)[number] | null;
  hardwareListed: YesNoUnknown | null;
  hardwareBatch: string | null;
  /** A section of the same site, `"bus"`, or null: not recorded. */
  bondedTo: string | null;
}

/** One row of a user's own fault vocabulary. */
export interface CodeMeaning {
  codeSystem: string;
  code: string;
  /** A SunSpec inverter event name or `OTHER`. */
  event: string;
  detector: (typeof DETECTORS)[number] | null;
}

export interface FaultRow {
  siteId: string;
  inverterId: string;
  startedAt: Instant;
  /** null: still active or not logged. */
  endedAt: Instant | null;
  /** Keyed as written. */
  code: string;
  codeSystem: string;
  message: string | null;
  resetAt: Instant | null;
  resetBy: (typeof RESET_BY)[number] | null;
  ticketId: string | null;
  closedAs: (typeof CLOSED_AS)[number] | null;
}

export interface TelemetrySpan {
  siteId: string;
  inverterId: string;
  startedAt: Instant;
  endedAt: Instant;
  state: InverterState;
}

export interface InverterReading {
  siteId: string;
  inverterId: string;
  observedAt: Instant;
  insulationKohm: number | null;
  residualCurrentMa: number | null;
  dcVoltageV: number | null;
  acPowerKw: number | null;
}

export interface Station {
  stationId: string;
  name: string | null;
  latitude: number | null;
  longitude: number | null;
  elevationM: number | null;
  timeZone: string | null;
  aliases: string[];
}

/**
 * A moment that a record gives either exactly or only to the day.
 * `at` is the instant, or local noon of that day where only the day is known; `dayOnly` says which.
 */
export interface RecordedMoment {
  at: Instant;
  day: LocalDay;
  dayOnly: boolean;
}

export interface Inspection {
  siteId: string;
  inspectedAt: RecordedMoment;
  check: Check;
  sectionId: string | null;
  inverterId: string | null;
  pointA: string | null;
  pointB: string | null;
  outcome: (typeof OUTCOMES)[number];
  /** Number as text, or a conductor size where the unit is awg. */
  value: string | null;
  unit: (typeof READING_UNITS)[number] | null;
  quantity: (typeof QUANTITIES)[number] | null;
  meterImpedance: (typeof METER_IMPEDANCES)[number] | null;
  method: (typeof METHODS)[number] | null;
  testVoltageV: number | null;
  surface: (typeof SURFACES)[number] | null;
  systemState: (typeof SYSTEM_STATES)[number] | null;
  instrumentSerial: string | null;
  calibratedOn: LocalDay | null;
  inspector: string | null;
  inspectorLicence: string | null;
  photo: string | null;
  note: string | null;
}

export interface Repair {
  siteId: string;
  repairedAt: RecordedMoment;
  cause: RepairCause;
  sectionId: string | null;
  inverterId: string | null;
  action: string | null;
  confirmed: (typeof CONFIRMED)[number] | null;
  testedAfter: (typeof TESTED_AFTER)[number] | null;
}

export interface Visit {
  visitId: string;
  siteId: string;
  promisedFrom: Instant | null;
  promisedTo: Instant | null;
  crewId: string | null;
  status: (typeof VISIT_STATUSES)[number] | null;
  note: string | null;
}

export interface Crew {
  crewId: string;
  name: string;
  baseLatitude: number;
  baseLongitude: number;
  /** HH:MM in the crew's zone. */
  shiftStart: string;
  shiftEnd: string;
  skills: Skill[];
  people: number | null;
  qualifiedPeople: number | null;
  hourlyCost: number | null;
  costPerKm: number | null;
  workDays: (typeof WEEKDAYS)[number][];
  timeZone: string;
}

export interface Coverage {
  coverageId: string;
  siteId: string;
  kind: (typeof COVERAGE_KINDS)[number];
  provider: string | null;
  startsOn: LocalDay;
  endsOn: LocalDay;
  limitAmount: number | null;
  deductibleAmount: number | null;
  noticeDays: number | null;
  noticeTo: string | null;
  policyNumber: string | null;
  currency: string | null;
  limitBasis: (typeof LIMIT_BASES)[number] | null;
  trigger: (typeof COVERAGE_TRIGGERS)[number] | null;
  proofOfLossDays: number | null;
  suitLimitMonths: number | null;
  excludes: string[];
  conditions: (typeof COVERAGE_CONDITIONS)[number][];
}

/** How a bond that somebody recorded by hand is made. Null: not recorded. */
export interface BondMade {
  method: (typeof PIECE_BOND_METHODS)[number] | null;
  awg: AwgSize | null;
  material: ConductorMaterial | null;
  /** Listed for what it joins. */
  listed: YesNoUnknown | null;
}

/** A piece of metal on a site's way to ground that no file names; somebody who knows the site recorded it. */
export interface PathPiece extends BondMade {
  siteId: string;
  pieceId: string;
  kind: (typeof PATH_PIECE_KINDS)[number];
  /** What people call it; null: its kind and id. */
  name: string | null;
  /** Where it belongs; null: to the site as a whole. */
  sectionId: string | null;
  inverterId: string | null;
  /** The link that it stands in, as `LINK:ID`; null: it stands beside the way and is bonded to `bondedTo`. */
  standsIn: string | null;
  /** Its place along that link, counted from the array. */
  place: number;
  /** A point of the path; null while `standsIn` is set, or when what it is bonded to is not recorded. */
  bondedTo: string | null;
}

/** A bond between two pieces besides those that the files name. */
export interface PathBond extends BondMade {
  siteId: string;
  bondId: string;
  from: string;
  to: string;
}

/** What a person entered as discovered and has not ended: while one is open, the site is a claim site. */
export interface Claim {
  discoveryId: string;
  what: string;
  /** Site-local day on which it was entered. */
  discoveredOn: LocalDay;
}

/** Everything known of one site, as the scoring function receives it. All arrays sorted by time, then key. */
/** A time in which a site was locked out by its make_safe; `to` null: it still is. */
export interface IsolationSpan {
  from: Instant;
  to: Instant | null;
}

export interface SiteRecords {
  site: Site;
  inverters: Inverter[];
  sections: Section[];
  faults: FaultRow[];
  telemetry: TelemetrySpan[];
  readings: InverterReading[];
  inspections: Inspection[];
  repairs: Repair[];
  coverage: Coverage[];
  /** Of all its inverters, by its make_safes; absent: never. */
  isolations?: readonly IsolationSpan[];
  /** Recorded by hand; absent or empty: nothing is. */
  pathPieces?: PathPiece[];
  pathBonds?: PathBond[];
  /** Open claims; absent: none. */
  claims?: Claim[];
}
