import type { Cause, COVERAGE_CONDITIONS, Site } from "../core/records.ts";
import { DEFAULT_COMPLETENESS_WEIGHTS, type EvidenceItem } from "./completeness-weights.ts";

/**
 * Sums and chances behind the value of a visit. All are engineering judgement until an account sets its own: none has
 * a published source. Money is in the account's currency; the figures suit a unit of about a dollar or a euro, see
 * `scaleMoney` for others.
 */
export interface LossParameters {
  provenance: string;
  /** What preventing one serious injury or fire is taken to be worth, money. A planning weight, not a price. */
  seriousHarm: number;
  /** Chance a year that someone is seriously hurt or a fire starts, given the cause is present and left. */
  harmPerYear: Record<Cause, number>;
  /** Cost of repair, money. */
  repairCost: Record<Cause, number>;
  /** Share of the repair cost that a year's delay adds. */
  escalationPerYear: Record<Cause, number>;
  /** Who can touch the metal: weight of harm. Unknown access counts as public. */
  accessWeight: Record<NonNullable<Site["access"]>, number>;
  /** Chance a year of severe property loss given the cause. */
  severeLossPerYear: Record<Cause, number>;
  /** Share of the insured value lost in one. */
  severeLossShare: number;
  /** Insured value where unknown, money a kW DC. */
  insuredValuePerKw: number;
  /** Annual yield where unknown, kWh a kW DC. */
  yieldKwhPerKw: number;
  /** Energy price where unknown, money a kWh. */
  energyPricePerKwh: number;
  /** Hours lost by a trip whose end is not known. */
  unknownOutageHours: number;
  /** Most hours that one trip is counted for. */
  longestOutageHours: number;
  /** Chance that a trip has a cause outside the list, as a weight beside the causes' probabilities. */
  otherCauseWeight: number;
  /** Chance that a warranty or policy in force answers at all, its conditions being met. */
  coverageValid: Record<"workmanship" | "equipment" | "property_insurance" | "liability_insurance", number>;
  /** Share of that chance which stays when a condition that it names is broken; the same when that is unknown. Met: all. */
  conditionBroken: Record<(typeof COVERAGE_CONDITIONS)[number], number>;
  conditionUnknown: Record<(typeof COVERAGE_CONDITIONS)[number], number>;
  /** Share that stays where none of a contract's conditions is recorded. */
  conditionsNotRecorded: number;
  /** Chance that the evidence at hand is accepted, for the value of a deadline in the queue, which does not look at items. */
  evidenceAccepted: number;
  /** The same with no item of evidence there, and with all; and the weight of each item on the way between the two. */
  evidenceNone: number;
  evidenceAll: number;
  evidenceShare: Record<EvidenceItem, number>;
  /** Chance that notice reaches the other side in time, where the contract's notice period is recorded. */
  noticeInTime: number;
  /** The same where it is not: the contract has to be read, and notice given now. */
  noticeUnknown: number;
  /** The same once notice is out and recorded in time, and once its day is over without it. */
  noticeSent: number;
  noticeLate: number;
  /** Spread of what a repair, a property loss and a claim of an injured person come to: sd of the natural log. */
  repairSpread: number;
  propertySpread: number;
  peopleSpread: number;
  /** Share of the spread between sites that those of one installer have in common; the same of one hardware batch. */
  sharedInstaller: number;
  sharedBatch: number;
  /** A batch counts as serially defective from this share of its sites on … */
  serialShare: number;
  /** … and at least so many. */
  serialLeast: number;
  /** Years drawn for a distribution; even. */
  drawnYears: number;
  /** A notice or end date within so many days adds to the value of going now. */
  deadlineHorizonDays: number;
}

/** Defaults: engineering judgement, every one. */
export const DEFAULT_LOSS_PARAMETERS: LossParameters = {
  provenance: "engineering judgement, no published source",
  seriousHarm: 3_000_000,
  harmPerYear: {
    open_section_bond: 0.0005,
    high_resistance_bond: 0.00015,
    isolated_electrode: 0.00015,
    egc_undersized: 0.00005,
    egc_broken: 0.0006,
    conductor_insulation: 0.0003,
    connector_ingress: 0.00025,
    module_insulation: 0.0001,
    surge_damage: 0.00007,
    detector_fault: 0.00003,
  },
  repairCost: {
    open_section_bond: 450,
    high_resistance_bond: 350,
    isolated_electrode: 700,
    egc_undersized: 900,
    egc_broken: 600,
    conductor_insulation: 900,
    connector_ingress: 500,
    module_insulation: 1100,
    surge_damage: 1500,
    detector_fault: 1200,
  },
  escalationPerYear: {
    open_section_bond: 0.1,
    high_resistance_bond: 0.15,
    isolated_electrode: 0.05,
    egc_undersized: 0,
    egc_broken: 0.1,
    conductor_insulation: 0.4,
    connector_ingress: 0.5,
    module_insulation: 0.3,
    surge_damage: 0.2,
    detector_fault: 0,
  },
  accessWeight: { public: 1, residential: 0.8, commercial: 0.5, fenced: 0.2 },
  severeLossPerYear: {
    open_section_bond: 0.001,
    high_resistance_bond: 0.001,
    isolated_electrode: 0.0005,
    egc_undersized: 0.0005,
    egc_broken: 0.001,
    conductor_insulation: 0.002,
    connector_ingress: 0.002,
    module_insulation: 0.0005,
    surge_damage: 0.0005,
    detector_fault: 0.0002,
  },
  severeLossShare: 0.3,
  insuredValuePerKw: 1500,
  yieldKwhPerKw: 1300,
  energyPricePerKwh: 0.12,
  unknownOutageHours: 6,
  longestOutageHours: 240,
  otherCauseWeight: 0.2,
  coverageValid: { workmanship: 0.7, equipment: 0.6, property_insurance: 0.4, liability_insurance: 0.4 },
  conditionBroken: {
    code_compliant_grounding: 0.4,
    annual_inspection: 0.7,
    licensed_installer: 0.6,
    documented_repairs: 0.7,
  },
  conditionUnknown: {
    code_compliant_grounding: 0.85,
    annual_inspection: 0.85,
    licensed_installer: 0.9,
    documented_repairs: 0.9,
  },
  conditionsNotRecorded: 0.85,
  evidenceAccepted: 0.5,
  evidenceNone: DEFAULT_COMPLETENESS_WEIGHTS.acceptedWithNone,
  evidenceAll: DEFAULT_COMPLETENESS_WEIGHTS.acceptedWithAll,
  evidenceShare: DEFAULT_COMPLETENESS_WEIGHTS.share,
  noticeInTime: 0.9,
  noticeUnknown: 0.7,
  noticeSent: 0.97,
  noticeLate: 0.2,
  repairSpread: 0.8,
  propertySpread: 1.2,
  peopleSpread: 1,
  sharedInstaller: 0.1,
  sharedBatch: 0.15,
  serialShare: 0.1,
  serialLeast: 3,
  drawnYears: 20_000,
  deadlineHorizonDays: 60,
};

/**
 * The same table in another currency unit.
 * @param factor new units for one unit of the table
 * @throws RangeError when factor is not above 0
 */
export function scaleMoney(params: LossParameters, factor: number): LossParameters {
  if (!Number.isFinite(factor) || factor <= 0)
    throw new RangeError(`scaleMoney requires a factor above 0, got ${factor}`);
  const repairCost = Object.fromEntries(
    Object.entries(params.repairCost).map(([cause, sum]) => [cause, sum * factor]),
  ) as Record<Cause, number>;
  return {
    ...params,
    seriousHarm: params.seriousHarm * factor,
    repairCost,
    insuredValuePerKw: params.insuredValuePerKw * factor,
    energyPricePerKwh: params.energyPricePerKwh * factor,
  };
}
