import type { Cause } from "../core/records.ts";
import { DEFAULT_LOSS_PARAMETERS, type LossParameters } from "../coverage/loss-parameters.ts";

/**
 * What decides how urgent a visit is and what it is worth. Engineering judgement throughout; an account may change
 * it, but not the make-safe rule's limits below their defaults without saying so.
 */
export interface DispatchParameters {
  provenance: string;
  loss: LossParameters;
  /** Make-safe: probability of an open section bond with public or unknown access. */
  makeSafeOpenBond: number;
  /** Make-safe: low end of the band of energised metal. */
  makeSafeEnergizedLow: number;
  /** Urgent, where the public can reach the metal or it is not known who can. */
  urgentPublic: { bonding: number; energized: number };
  /** Urgent elsewhere. */
  urgentOther: { bonding: number; energized: number };
  /** Insulation is persistently low when so many readings in a row lie below the limit … */
  persistentReadings: number;
  /** … over at least so many hours. */
  persistentHours: number;
  /** Residual-current readings count so many days back from the latest one. */
  residualDays: number;
  /** Chance that a visit finds a cause that is there. */
  findChance: Record<Cause, number>;
  /** Chance that a visit blames a cause that is not there. */
  falseFinding: Record<Cause, number>;
  /** Chance that a cause that was found is fixed, by this visit or the one it leads to. */
  fixChance: number;
  /** What is left of those chances where no crew has every skill needed. */
  lackingSkillFactor: number;
  /** Years for which a defect would stay if nobody went now. */
  horizonYears: number;
  /** Avoided loss over cost from which a planned visit is worth its trip. */
  worthRatio: number;
  /** Days after a finished visit in which a planned one waits for new evidence. */
  settleDays: number;
  /** Road kilometres for one kilometre as the crow flies. */
  roadFactor: number;
  speedKmh: number;
  /** Where no crew is recorded: one-way km, money an hour, money a km. */
  defaultDistanceKm: number;
  defaultHourlyCost: number;
  defaultCostPerKm: number;
  defaultPeople: number;
}

export const DEFAULT_DISPATCH_PARAMETERS: DispatchParameters = {
  provenance: "engineering judgement, no published source",
  loss: DEFAULT_LOSS_PARAMETERS,
  makeSafeOpenBond: 0.5,
  makeSafeEnergizedLow: 0.25,
  urgentPublic: { bonding: 0.4, energized: 0.15 },
  urgentOther: { bonding: 0.5, energized: 0.2 },
  persistentReadings: 3,
  persistentHours: 24,
  residualDays: 30,
  findChance: {
    open_section_bond: 0.8,
    high_resistance_bond: 0.7,
    isolated_electrode: 0.8,
    egc_undersized: 0.85,
    egc_broken: 0.85,
    conductor_insulation: 0.6,
    connector_ingress: 0.6,
    module_insulation: 0.6,
    surge_damage: 0.6,
    detector_fault: 0.5,
  },
  falseFinding: {
    open_section_bond: 0.04,
    high_resistance_bond: 0.08,
    isolated_electrode: 0.03,
    egc_undersized: 0.03,
    egc_broken: 0.03,
    conductor_insulation: 0.05,
    connector_ingress: 0.06,
    module_insulation: 0.07,
    surge_damage: 0.05,
    detector_fault: 0.05,
  },
  fixChance: 0.9,
  lackingSkillFactor: 0.5,
  horizonYears: 1,
  worthRatio: 1,
  settleDays: 30,
  roadFactor: 1.3,
  speedKmh: 60,
  defaultDistanceKm: 40,
  defaultHourlyCost: 80,
  defaultCostPerKm: 0.7,
  defaultPeople: 2,
};
