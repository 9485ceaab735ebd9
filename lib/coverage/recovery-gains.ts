import type { Coverage } from "../core/records.ts";
import { type ProofGot, provenChances } from "./answer-chances.ts";
import { evidenceCompleteness, weightsOf } from "./completeness.ts";
import type { LossContext, ScoredForLoss, SiteLoss } from "./loss-book.ts";
import { netAnnualLoss } from "./loss-net.ts";

/** Something missing or broken that lowers what a site's contracts are expected to pay. */
export interface RecoveryGain {
  what: "evidence" | "condition" | "terms";
  /** The item of evidence, the condition, or the term to be read. */
  name: string;
  state: "missing" | "broken" | "unknown" | "not_recorded";
  /** What is there or not, and how to get it. */
  says: string;
  /** Contracts that it bears on. */
  coverageIds: string[];
  /** Rise of the expected recovery of the coming year with this alone, account currency. */
  worth: number;
}

export interface RecoveryGains {
  /** Weighted share of the items of evidence that are there, 0 to 1. */
  completeness: number;
  /** Chance that the evidence is accepted as it is. */
  accepted: number;
  /** Greatest worth first. */
  gains: RecoveryGain[];
  /** Rise with all of them together, account currency: not the sum, because they work on one another. */
  all: number;
}

/**
 * What each missing or broken thing of a site is worth: the rise of its expected recovery, everything else as it is.
 * Only contracts that count today are looked at; a thing that none of them hangs on is left out.
 *
 * @param loss the same site as reckoned with what it can show now
 * @returns null without proof to look at or without a contract that counts
 * @shape O(missing things x contracts); deterministic
 */
export function recoveryGains(scored: ScoredForLoss, loss: SiteLoss, { params }: LossContext): RecoveryGains | null {
  const { proof, records, bonding } = scored;
  const { terms } = loss.terms;
  if (!proof || terms.length === 0) return null;
  const contracts = new Map(records.coverage.map((c) => [c.coverageId, c]));
  const worth = (got: ProofGot) => {
    const chancesOf = provenChances(proof, params, got);
    const then = terms.map((term) => {
      const { valid, conditions, evidence, notice } = chancesOf(contracts.get(term.coverageId) as Coverage);
      return { ...term, chance: valid * conditions * evidence * notice };
    });
    const { recovered } = netAnnualLoss(loss.draw.severities, { terms: then, remarks: [] }, bonding);
    return Math.max(0, recovered - loss.net.recovered);
  };
  const asked = (of: (contract: Coverage) => boolean) =>
    terms.map((t) => t.coverageId).filter((id) => of(contracts.get(id) as Coverage));
  const gains: RecoveryGain[] = [];
  const add = (gain: Omit<RecoveryGain, "worth">, got: ProofGot) => {
    if (gain.coverageIds.length > 0) gains.push({ ...gain, worth: worth(got) });
  };
  for (const { item, present, says } of proof.items)
    if (!present)
      add({ what: "evidence", name: item, state: "missing", says, coverageIds: asked(() => true) }, { item });
  for (const { condition, state, says, restores } of proof.conditions)
    if (state !== "met")
      add(
        {
          ...{ what: "condition", name: condition, state, says: restores ? `${says} ${restores}` : says },
          coverageIds: asked((c) => c.conditions.includes(condition)),
        },
        { condition },
      );
  add(
    {
      ...{ what: "terms", name: "conditions", state: "not_recorded" },
      says: "No condition of the contract is recorded. Read it and enter them: worth this much if all are met.",
      coverageIds: asked((c) => c.conditions.length === 0),
    },
    { termsRead: true },
  );
  add(
    {
      ...{ what: "terms", name: "days_for_notice", state: "not_recorded" },
      says: "Days for notice are not recorded. Read the contract and enter them; until then notify now.",
      coverageIds: asked((c) => c.noticeDays === null && !proof.notices.has(c.coverageId)),
    },
    { noticeRead: true },
  );
  const { score, accepted } = evidenceCompleteness(proof.items, null, weightsOf(params));
  return {
    completeness: score,
    accepted,
    gains: gains.sort((a, b) => b.worth - a.worth || (a.name < b.name ? -1 : 1)),
    all: gains.length > 0 ? worth({ everything: true }) : 0,
  };
}
