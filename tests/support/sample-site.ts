import { computedInspection } from "../../lib/core/computed-inspection.ts";
import type {
  Coverage,
  Crew,
  Inspection,
  Inverter,
  RecordedMoment,
  Repair,
  Section,
  Site,
  SiteRecords,
  Visit,
} from "../../lib/core/records.ts";
import { CAUSES, type Cause } from "../../lib/core/records.ts";
import type { SiteCorrelation } from "../../lib/correlate/site-correlation.ts";
import type { Diagnosis } from "../../lib/diagnose/diagnosis.ts";
import type { ScoredSite } from "../../lib/dispatch/queue.ts";
import { WEATHER_STATES } from "../../lib/weather/weather-state.ts";

/** An invented site for tests: one inverter, two sections, everything recorded and in order unless overridden. */
export const AS_OF = Date.UTC(2024, 5, 1, 12);
export const DAY_MS = 86_400_000;

export function sampleSite(over: Partial<Site> = {}): Site {
  return {
    siteId: "S1",
    name: "Sample site",
    portfolio: "Book",
    latitude: 40,
    longitude: -90,
    timeZone: "America/Chicago",
    dcKw: 13,
    acKw: 13,
    commissionedOn: "2018-05-01",
    mounting: "roof",
    access: "residential",
    installer: "Installer one",
    necEdition: "2017",
    energyPricePerKwh: 0.12,
    electrode: "rod",
    electrodeLengthFt: 8,
    separateArrayElectrode: "none",
    gecAwg: "4",
    gecMaterial: "copper",
    serviceConductorAwg: "2/0",
    acVoltageV: 240,
    battery: "none",
    nearCoast: "no",
    stationId: null,
    annualKwh: 17000,
    insuredValue: 40000,
    currency: "USD",
    contactName: null,
    contactPhone: null,
    emergencyPhone: null,
    accessFrom: null,
    accessTo: null,
    accessNote: null,
    permitAuthority: null,
    roofPitchDeg: 20,
    ...over,
  };
}

export function sampleInverter(over: Partial<Inverter> = {}): Inverter {
  return {
    siteId: "S1",
    inverterId: "I1",
    acKw: 13,
    topology: "non_isolated",
    acOcpdA: 70,
    egcAwg: "8",
    egcMaterial: "copper",
    codeSystem: "sunspec_evt1",
    commissionedOn: null,
    serial: null,
    firmware: null,
    detector: "residual_current",
    tripMa: 300,
    insulationLimitKohm: null,
    maxDcV: 600,
    dcGrounding: "functional",
    reset: "auto",
    electronics: "none",
    logSource: null,
    ...over,
  };
}

export function sampleSection(over: Partial<Section> = {}): Section {
  return {
    siteId: "S1",
    sectionId: "A",
    inverterId: "I1",
    dcKw: 6.5,
    azimuthDeg: 180,
    tiltDeg: 20,
    parallelStrings: 2,
    moduleIscA: 9.5,
    ocpdA: "none",
    combinerId: null,
    egcAwg: "10",
    egcMaterial: "copper",
    bondMethod: "lug_and_jumper",
    hardwareListed: "yes",
    hardwareBatch: null,
    bondedTo: "bus",
    ...over,
  };
}

export const onDay = (day: string): RecordedMoment => ({ at: Date.parse(`${day}T18:00:00Z`), day, dayOnly: true });
export const atTime = (iso: string): RecordedMoment => ({ at: Date.parse(iso), day: iso.slice(0, 10), dayOnly: false });

export function sampleInspection(over: Partial<Inspection>): Inspection {
  const said = { siteId: "S1", check: "bond_resistance", sectionId: null, inverterId: null, outcome: "pass" } as const;
  return { ...computedInspection(said, 0), inspectedAt: atTime("2024-05-01T15:00:00Z"), ...over };
}

/** A voltage reading and, ten minutes later, an accepted resistance reading of one link. */
export function measuredLink(pointA: string, pointB: string, ohms: string, day = "2024-05-01"): Inspection[] {
  const points = { pointA, pointB };
  return [
    sampleInspection({
      ...points,
      check: "section_potential",
      value: "0.1",
      unit: "volt",
      quantity: "dc",
      meterImpedance: "high",
      inspectedAt: atTime(`${day}T15:00:00Z`),
    }),
    sampleInspection({
      ...points,
      value: ohms,
      unit: "ohm",
      method: "four_wire",
      inspectedAt: atTime(`${day}T15:10:00Z`),
    }),
  ];
}

export function sampleRepair(over: Partial<Repair>): Repair {
  return {
    siteId: "S1",
    repairedAt: atTime("2024-05-10T15:00:00Z"),
    cause: "open_section_bond",
    sectionId: "A",
    inverterId: null,
    action: null,
    confirmed: "yes",
    testedAfter: "continuity",
    ...over,
  };
}

export function sampleCoverage(over: Partial<Coverage> = {}): Coverage {
  return {
    ...{ coverageId: "W1", siteId: "S1", kind: "workmanship", provider: null },
    ...{ startsOn: "2018-05-01", endsOn: "2028-05-01", limitAmount: null, deductibleAmount: null, noticeDays: null },
    ...{ noticeTo: null, policyNumber: null, currency: null, limitBasis: null, trigger: null },
    ...{ proofOfLossDays: null, suitLimitMonths: null, excludes: [], conditions: [] },
    ...over,
  };
}

export function sampleRecords(over: Partial<SiteRecords> = {}): SiteRecords {
  return {
    site: sampleSite(),
    inverters: [sampleInverter()],
    sections: [sampleSection(), sampleSection({ sectionId: "B" })],
    faults: [],
    telemetry: [],
    readings: [],
    inspections: [],
    repairs: [],
    coverage: [],
    ...over,
  };
}

export function sampleDiagnosis(causes: Partial<Record<Cause, number>> = {}, over: Partial<Diagnosis> = {}): Diagnosis {
  const bonding = Math.max(causes.open_section_bond ?? 0.02, causes.high_resistance_bond ?? 0.02);
  const all = { ...(Object.fromEntries(CAUSES.map((cause) => [cause, 0.02])) as Record<Cause, number>), ...causes };
  return {
    bondingDefect: { p: bonding, low: bonding / 2, high: Math.min(1, bonding * 1.5) },
    energizedMetal: { p: 0.01, low: 0.002, high: 0.03 },
    causes: all,
    causeBands: Object.fromEntries(
      CAUSES.map((cause) => [cause, { low: all[cause] / 2, high: Math.min(1, all[cause] * 1.5) }]),
    ) as Diagnosis["causeBands"],
    evidence: [],
    gaps: [],
    notes: [],
    ...over,
  };
}

export function sampleCorrelation(over: Partial<SiteCorrelation> = {}): SiteCorrelation {
  return {
    units: [{ unitId: "I1", inverterIds: ["I1"] }],
    episodes: [],
    byState: Object.fromEntries(
      WEATHER_STATES.map((state) => [state, { unitHours: 0, episodes: 0 }]),
    ) as SiteCorrelation["byState"],
    exposureByMonth: [],
    readings: [],
    weather: {
      driver: "none",
      rateRatio: null,
      low: null,
      high: null,
      pValue: null,
      qValue: null,
      wetHours: 0,
      wetEpisodes: 0,
      dryHours: 0,
      dryEpisodes: 0,
      clockOffsetHours: null,
    },
    ratioGrid: null,
    clock: [],
    overdispersion: 1,
    window: { from: AS_OF - 730 * DAY_MS, to: AS_OF },
    excludedUnitHours: {},
    counts: {},
    gaps: [],
    notes: [],
    ...over,
  };
}

export function sampleEpisode(onset: number, hours: number | null): SiteCorrelation["episodes"][number] {
  return {
    unitId: "I1",
    inverterIds: ["I1"],
    onset,
    end: hours === null ? null : onset + hours * 3_600_000,
    rows: 1,
    censored: hours === null ? "end_unknown" : null,
    resetBy: null,
    closedAs: null,
    state: "rain",
    atRisk: true,
    clearedOnDrying: null,
    hoursSinceRain: 0,
    atDawn: false,
  };
}

export function sampleCrew(over: Partial<Crew> = {}): Crew {
  return {
    crewId: "C1",
    name: "Crew one",
    baseLatitude: 40.1,
    baseLongitude: -90,
    shiftStart: "07:00",
    shiftEnd: "15:30",
    skills: ["electrician", "roof", "battery"],
    people: 2,
    qualifiedPeople: 1,
    hourlyCost: 100,
    costPerKm: 1,
    workDays: ["mon", "tue", "wed", "thu", "fri"],
    timeZone: "America/Chicago",
    ...over,
  };
}

export function sampleVisit(over: Partial<Visit>): Visit {
  return {
    visitId: "V9",
    siteId: "S1",
    promisedFrom: null,
    promisedTo: null,
    crewId: null,
    status: "planned",
    note: null,
    ...over,
  };
}

export function scored(
  siteId: string,
  over: {
    site?: Partial<Site>;
    records?: Partial<SiteRecords>;
    diagnosis?: Diagnosis;
    correlation?: SiteCorrelation;
  } = {},
): ScoredSite {
  return {
    records: sampleRecords({ site: sampleSite({ siteId, ...over.site }), ...over.records }),
    diagnosis: over.diagnosis ?? sampleDiagnosis(),
    correlation: over.correlation ?? sampleCorrelation(),
  };
}
