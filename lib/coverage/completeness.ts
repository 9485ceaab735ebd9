import type { Check } from "../core/records.ts";
import { expit, logit } from "../core/statistics.ts";

/** What a carrier or warranty desk asks for, in the order in which it is shown. */
export const EVIDENCE_ITEMS = [
  "dated_photo",
  "measured_value",
  "inspector_licence",
  "part_identity",
  "event_log_clock",
  "weather_record",
  "chain_of_custody",
] as const;
export type EvidenceItem = (typeof EVIDENCE_ITEMS)[number];

export interface CompletenessWeights {
  provenance: string;
  /** Chance that the evidence is accepted with no item there. */
  acceptedWithNone: number;
  /** The same with all there. */
  acceptedWithAll: number;
  /** Share of the way between the two, on the log-odds scale, that each item brings; they sum to 1. */
  share: Record<EvidenceItem, number>;
}

/** Defaults, every one engineering judgement: no published source. */
export const DEFAULT_COMPLETENESS_WEIGHTS: CompletenessWeights = {
  provenance: "engineering judgement, no published source",
  acceptedWithNone: 0.3,
  acceptedWithAll: 0.9,
  share: {
    dated_photo: 0.18,
    measured_value: 0.25,
    inspector_licence: 0.12,
    part_identity: 0.1,
    event_log_clock: 0.13,
    weather_record: 0.07,
    chain_of_custody: 0.15,
  },
};

/** One item as found in the records. */
export interface ItemFound {
  item: EvidenceItem;
  present: boolean;
  /** What is there, or what is missing and how to get it. */
  says: string;
}

/**
 * Chance that the evidence at hand is accepted, were cover and notice in order.
 * @returns log odds are linear in the items: `acceptedWithNone` with none, `acceptedWithAll` with all
 * @throws RangeError when the weights are no such table
 */
export function acceptedChance(present: ReadonlySet<EvidenceItem>, weights = DEFAULT_COMPLETENESS_WEIGHTS): number {
  const total = EVIDENCE_ITEMS.reduce((sum, item) => sum + weights.share[item], 0);
  if (Math.abs(total - 1) > 1e-9 || EVIDENCE_ITEMS.some((item) => !(weights.share[item] >= 0)))
    throw new RangeError(`acceptedChance requires shares of at least 0 that sum to 1, got ${total}`);
  const none = logit(weights.acceptedWithNone);
  const way = logit(weights.acceptedWithAll) - none;
  return expit(EVIDENCE_ITEMS.reduce((sum, item) => sum + (present.has(item) ? weights.share[item] * way : 0), none));
}

export interface Completeness {
  /** Weighted share of the items that are there, 0 to 1. */
  score: number;
  /** Chance that the evidence is accepted as it is. */
  accepted: number;
  items: (ItemFound & {
    /** Expected recovery that getting this one item would add, account currency; 0 when it is there, null without a sum. */
    worth: number | null;
  })[];
}

/**
 * How complete the evidence is and what each missing item is worth: the recovery expected were all evidence accepted,
 * times how much the chance of acceptance rises with that one item.
 * @param recoverable expected recovery if the evidence is accepted, account currency; null: not known
 */
export function evidenceCompleteness(
  found: readonly ItemFound[],
  recoverable: number | null,
  weights = DEFAULT_COMPLETENESS_WEIGHTS,
): Completeness {
  const present = new Set(found.filter((f) => f.present).map((f) => f.item));
  const accepted = acceptedChance(present, weights);
  return {
    score: EVIDENCE_ITEMS.reduce((sum, item) => sum + (present.has(item) ? weights.share[item] : 0), 0),
    accepted,
    items: found.map((f) => ({
      ...f,
      worth: f.present
        ? 0
        : recoverable === null
          ? null
          : recoverable * (acceptedChance(new Set([...present, f.item]), weights) - accepted),
    })),
  };
}

/** Checks of a visit at which a missing item can be got, with what to do there. Items without one are got at a desk. */
export const CHECKS_FOR_ITEM: Partial<Record<EvidenceItem, { checks: readonly Check[]; says: string }>> = {
  dated_photo: {
    checks: ["section_jumper", "electrode_bonded"],
    says: "No dated photo is on file. Take one of what is found, before anything is moved.",
  },
  measured_value: {
    checks: ["bond_resistance"],
    says: "No measured value with instrument and calibration date is on file. Write serial number and calibration date.",
  },
  inspector_licence: {
    checks: ["bond_resistance"],
    says: "No reading by a person with a licence number is on file. Write yours.",
  },
  part_identity: {
    checks: ["listed_hardware"],
    says: "Serial number, batch or listing of the parts is not on file. Photograph the marks.",
  },
};
