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
  /** Share of the way between the two, on the log-odds scale, that each item brings; only proportions count. */
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
