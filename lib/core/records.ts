/**
 * The records of a fleet as the pure rooms see them: parsed, in SI or trade units, `null` for unknown.
 * Column names, units and meanings are those of the outside contract; a field here is the camel-case
 * form of its column. Nothing here knows how a record is stored.
 *
 * Instants are epoch milliseconds UTC. `hourIndex` (see weather-series.ts) is epoch hours.
 */

import type {
  ACCESSES,
  ARRAY_ELECTRODES,
  BATTERIES,
  BOND_METHODS,
  Check,
  CLOSED_AS,
  CONFIRMED,
  COVERAGE_CONDITIONS,
  COVERAGE_KINDS,
  COVERAGE_TRIGGERS,
  ConductorMaterial,
  DC_GROUNDINGS,
  DETECTORS,
  ELECTRODES,
  ELECTRONICS,
  InverterState,
  LIMIT_BASES,
  METER_IMPEDANCES,
  METHODS,
  MOUNTINGS,
  NecEdition,
  OUTCOMES,
  PATH_PIECE_KINDS,
  PIECE_BOND_METHODS,
  QUANTITIES,
  READING_UNITS,
  RESET_BY,
  RESETS,
  RepairCause,
  Skill,
  SURFACES,
  SYSTEM_STATES,
  TESTED_AFTER,
  TOPOLOGIES,
  VISIT_STATUSES,
  WEEKDAYS,
  YesNoUnknown,
} from "./record-words.ts";

export * from "./record-words.ts";

/** Epoch milliseconds, UTC. */
export type Instant = number;
/** Calendar day `YYYY-MM-DD`, in the zone that the field's comment names (the site's unless said). */
export type LocalDay = string;

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

/** A time in which a site was locked out by its make_safe; `to` null: it still is. */
export interface IsolationSpan {
  from: Instant;
  to: Instant | null;
}

/** Everything known of one site, as the scoring function receives it. All arrays sorted by time, then key. */
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
