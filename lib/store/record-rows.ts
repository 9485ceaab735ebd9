import { z } from "zod";
import * as r from "../core/records.ts";

/**
 * Rows of the record tables on their way out of SQL: what the database holds becomes what the pure rooms' types
 * say. Keys are camel case; `selectList` makes the matching SQL.
 */
const text = z.string().nullable();
const number = z.number().nullable();
/** Stored as '' in keys, null outside. */
const keyText = z.string().transform((value) => (value === "" ? null : value));
const instant = z.date().transform((value) => value.getTime());
const instantOrNull = z
  .date()
  .nullable()
  .transform((value) => value?.getTime() ?? null);
const day = z.string().nullable();
const oneOf = <const T extends readonly string[]>(values: T) => z.enum(values).nullable();
const list = text.transform((value) =>
  value
    ? value
        .split(";")
        .map((item) => item.trim())
        .filter(Boolean)
    : [],
);

export const SiteRow = z.object({
  siteId: z.string(),
  name: z.string(),
  portfolio: z.string(),
  latitude: z.number(),
  longitude: z.number(),
  timeZone: z.string(),
  dcKw: z.number(),
  acKw: z.number(),
  commissionedOn: day,
  mounting: oneOf(r.MOUNTINGS),
  access: oneOf(r.ACCESSES),
  installer: text,
  necEdition: oneOf(r.NEC_EDITIONS),
  energyPricePerKwh: number,
  electrode: oneOf(r.ELECTRODES),
  electrodeLengthFt: number,
  separateArrayElectrode: oneOf(r.ARRAY_ELECTRODES),
  gecAwg: text,
  gecMaterial: oneOf(r.CONDUCTOR_MATERIALS),
  serviceConductorAwg: text,
  acVoltageV: number,
  battery: oneOf(r.BATTERIES),
  nearCoast: oneOf(r.YES_NO_UNKNOWN),
  stationId: text,
  annualKwh: number,
  insuredValue: number,
  currency: text,
  contactName: text,
  contactPhone: text,
  emergencyPhone: text,
  accessFrom: text,
  accessTo: text,
  accessNote: text,
  permitAuthority: text,
  roofPitchDeg: number,
});

export const InverterRow = z.object({
  siteId: z.string(),
  inverterId: z.string(),
  acKw: z.number(),
  topology: oneOf(r.TOPOLOGIES),
  acOcpdA: number,
  egcAwg: text,
  egcMaterial: oneOf(r.CONDUCTOR_MATERIALS),
  codeSystem: text.transform((value) => value ?? "sunspec_evt1"),
  commissionedOn: day,
  serial: text,
  firmware: text,
  detector: oneOf(r.DETECTORS),
  tripMa: number,
  insulationLimitKohm: number,
  maxDcV: number,
  dcGrounding: oneOf(r.DC_GROUNDINGS),
  reset: oneOf(r.RESETS),
  electronics: oneOf(r.ELECTRONICS),
  logSource: text,
});

export const SectionRow = z.object({
  siteId: z.string(),
  sectionId: z.string(),
  inverterId: z.string(),
  dcKw: number,
  azimuthDeg: number,
  tiltDeg: number,
  parallelStrings: number,
  moduleIscA: number,
  ocpdA: text.transform((value) => (value === null ? null : value === "none" ? ("none" as const) : Number(value))),
  combinerId: text,
  egcAwg: text,
  egcMaterial: oneOf(r.CONDUCTOR_MATERIALS),
  bondMethod: oneOf(r.BOND_METHODS),
  hardwareListed: oneOf(r.YES_NO_UNKNOWN),
  hardwareBatch: text,
  bondedTo: text,
});

export const CodeMeaningRow = z.object({
  codeSystem: z.string(),
  code: z.string(),
  event: z.string(),
  detector: oneOf(r.DETECTORS),
});

export const FaultRowSchema = z.object({
  siteId: z.string(),
  inverterId: z.string(),
  startedAt: instant,
  endedAt: instantOrNull,
  code: z.string(),
  codeSystem: text,
  message: text,
  resetAt: instantOrNull,
  resetBy: oneOf(r.RESET_BY),
  ticketId: text,
  closedAs: oneOf(r.CLOSED_AS),
});

export const TelemetryRow = z.object({
  siteId: z.string(),
  inverterId: z.string(),
  startedAt: instant,
  endedAt: instant,
  state: z.enum(r.INVERTER_STATES),
});

export const ReadingRow = z.object({
  siteId: z.string(),
  inverterId: z.string(),
  observedAt: instant,
  insulationKohm: number,
  residualCurrentMa: number,
  dcVoltageV: number,
  acPowerKw: number,
});

export const StationRow = z.object({
  stationId: z.string(),
  name: text,
  latitude: number,
  longitude: number,
  elevationM: number,
  timeZone: text,
  aliases: list,
});

export const InspectionRow = z.object({
  siteId: z.string(),
  inspectedAt: instant,
  inspectedDayOnly: z.boolean(),
  check: z.enum(r.CHECKS),
  sectionId: keyText,
  inverterId: keyText,
  pointA: keyText,
  pointB: keyText,
  outcome: z.enum(r.OUTCOMES),
  value: text,
  unit: oneOf(r.READING_UNITS),
  quantity: keyText.pipe(oneOf(r.QUANTITIES)),
  meterImpedance: oneOf(r.METER_IMPEDANCES),
  method: keyText.pipe(oneOf(r.METHODS)),
  testVoltageV: number,
  surface: oneOf(r.SURFACES),
  systemState: oneOf(r.SYSTEM_STATES),
  instrumentSerial: text,
  calibratedOn: day,
  inspector: text,
  inspectorLicence: text,
  photo: text,
  note: text,
});

export const RepairRow = z.object({
  siteId: z.string(),
  repairedAt: instant,
  repairedDayOnly: z.boolean(),
  cause: z.enum(r.REPAIR_CAUSES),
  sectionId: text,
  inverterId: text,
  action: text,
  confirmed: oneOf(r.CONFIRMED),
  testedAfter: oneOf(r.TESTED_AFTER),
});

export const VisitRow = z.object({
  visitId: z.string(),
  siteId: z.string(),
  promisedFrom: instantOrNull,
  promisedTo: instantOrNull,
  crewId: text,
  status: oneOf(r.VISIT_STATUSES),
  note: text,
});

export const CrewRow = z.object({
  crewId: z.string(),
  name: z.string(),
  baseLatitude: z.number(),
  baseLongitude: z.number(),
  shiftStart: z.string(),
  shiftEnd: z.string(),
  skills: list.pipe(z.array(z.enum(r.SKILLS))),
  people: number,
  qualifiedPeople: number,
  hourlyCost: number,
  costPerKm: number,
  workDays: list.pipe(z.array(z.enum(r.WEEKDAYS))),
  timeZone: z.string(),
});

export const CoverageRow = z.object({
  coverageId: z.string(),
  siteId: z.string(),
  kind: z.enum(r.COVERAGE_KINDS),
  provider: text,
  startsOn: z.string(),
  endsOn: z.string(),
  limitAmount: number,
  deductibleAmount: number,
  noticeDays: number,
  noticeTo: text,
  policyNumber: text,
  currency: text,
  limitBasis: oneOf(r.LIMIT_BASES),
  trigger: oneOf(r.COVERAGE_TRIGGERS),
  proofOfLossDays: number,
  suitLimitMonths: number,
  excludes: list,
  conditions: list.pipe(z.array(z.enum(r.COVERAGE_CONDITIONS))),
});

const made = {
  method: oneOf(r.PIECE_BOND_METHODS),
  awg: text,
  material: oneOf(r.CONDUCTOR_MATERIALS),
  listed: oneOf(r.YES_NO_UNKNOWN),
};

export const PathPieceRow = z.object({
  siteId: z.string(),
  pieceId: z.string(),
  kind: z.enum(r.PATH_PIECE_KINDS),
  name: text,
  sectionId: text,
  inverterId: text,
  standsIn: text,
  place: z.number(),
  bondedTo: text,
  ...made,
});

export const PathBondRow = z.object({
  siteId: z.string(),
  bondId: z.string(),
  fromPoint: z.string(),
  toPoint: z.string(),
  ...made,
});

const DAY_COLUMNS = new Set(["commissioned_on", "calibrated_on", "starts_on", "ends_on"]);

/** `column AS "camelCase"` for every key of a row schema. Days come out as text: a day has no instant. */
export function selectList(schema: z.ZodObject): string {
  return Object.keys(schema.shape)
    .map((key) => {
      const column = key.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`);
      return `"${column}"${DAY_COLUMNS.has(column) ? "::text" : ""} AS "${key}"`;
    })
    .join(", ");
}
