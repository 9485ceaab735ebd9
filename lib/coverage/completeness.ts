import type { Check } from "../core/records.ts";
import { expit, logit } from "../core/statistics.ts";
import {
  type CompletenessWeights,
  DEFAULT_COMPLETENESS_WEIGHTS,
  EVIDENCE_ITEMS,
  type EvidenceItem,
} from "./completeness-weights.ts";
import type { LossParameters } from "./loss-parameters.ts";

/** One item as found in the records. */
export interface ItemFound {
  item: EvidenceItem;
  present: boolean;
  /** What is there, or what is missing and how to get it. */
  says: string;
}

/** The account's weights; only the proportions of the shares count. */
export const weightsOf = (params: LossParameters): CompletenessWeights => ({
  provenance: params.provenance,
  acceptedWithNone: params.evidenceNone,
  acceptedWithAll: params.evidenceAll,
  share: params.evidenceShare,
});

/** Share of the whole weight that some items bring. */
function weightOf(items: Iterable<EvidenceItem>, { share }: CompletenessWeights): number {
  const total = EVIDENCE_ITEMS.reduce((sum, item) => sum + share[item], 0);
  if (!(total > 0) || EVIDENCE_ITEMS.some((item) => !(share[item] >= 0)))
    throw new RangeError(`completeness requires shares of at least 0, one of them above, got a sum of ${total}`);
  let own = 0;
  for (const item of new Set(items)) own += share[item];
  return own / total;
}

/**
 * Chance that the evidence at hand is accepted, were cover and notice in order.
 * @returns log odds are linear in the items: `acceptedWithNone` with none, `acceptedWithAll` with all
 * @throws RangeError when the weights are no such table
 */
export function acceptedChance(present: Iterable<EvidenceItem>, weights = DEFAULT_COMPLETENESS_WEIGHTS): number {
  const none = logit(weights.acceptedWithNone);
  return expit(none + weightOf(present, weights) * (logit(weights.acceptedWithAll) - none));
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
 * How complete the evidence is and what each missing item is worth: how much the expected recovery rises when the chance
 * of acceptance rises by that one item.
 * @param recovered expected recovery by the chance that the evidence is accepted, account currency; null: not known
 */
export function evidenceCompleteness(
  found: readonly ItemFound[],
  recovered: ((accepted: number) => number) | null,
  weights = DEFAULT_COMPLETENESS_WEIGHTS,
): Completeness {
  const present = found.filter((f) => f.present).map((f) => f.item);
  const accepted = acceptedChance(present, weights);
  const now = recovered ? recovered(accepted) : null;
  const worth = ({ item, present: there }: ItemFound) => {
    if (there) return 0;
    return recovered && now !== null ? recovered(acceptedChance([...present, item], weights)) - now : null;
  };
  return { score: weightOf(present, weights), accepted, items: found.map((f) => ({ ...f, worth: worth(f) })) };
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
