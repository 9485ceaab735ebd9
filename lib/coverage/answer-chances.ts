import type { Coverage } from "../core/records.ts";
import { acceptedChance, type ItemFound, weightsOf } from "./completeness.ts";
import type { EvidenceItem } from "./completeness-weights.ts";
import type { ConditionFinding, CoverageCondition } from "./conditions.ts";
import type { Deadline } from "./deadlines.ts";
import type { LossParameters } from "./loss-parameters.ts";
import type { ChancesOf } from "./loss-terms.ts";

/** How the notice under a contract stands once something is discovered. */
export type NoticeState = "sent" | "late";

/** What a site can show a carrier or a warranty desk today. */
export interface SiteProof {
  /** Items of evidence, there or missing. */
  items: readonly ItemFound[];
  /** Every condition that a contract can have, held against the records. */
  conditions: readonly ConditionFinding[];
  /** By contract; absent: nothing is discovered, or the day for notice is still to come. */
  notices: ReadonlyMap<string, NoticeState>;
}

/** Something that is not there yet, taken as got. */
export interface ProofGot {
  /** One more item of evidence. */
  item?: EvidenceItem;
  /** A condition taken as met. */
  condition?: CoverageCondition;
  /** Contracts' conditions taken as recorded and met. */
  termsRead?: boolean;
  /** Contracts' days for notice taken as recorded. */
  noticeRead?: boolean;
  /** All of it together. */
  everything?: boolean;
  /** Chance that the evidence is accepted, in place of what its items give. */
  accepted?: number;
}

/** How the notices of a site stand, from its deadlines; of several claims under one contract the worst counts. */
export function noticeStates(deadlines: readonly Deadline[]): Map<string, NoticeState> {
  const states = new Map<string, NoticeState>();
  const open = new Set<string>();
  for (const { kind, coverageId, state, sentOn, dueOn } of deadlines) {
    if (kind !== "notice") continue;
    if (state === "passed" || (sentOn !== null && dueOn !== null && sentOn > dueOn)) states.set(coverageId, "late");
    else if (state !== "sent") open.add(coverageId);
    else if (!states.has(coverageId)) states.set(coverageId, "sent");
  }
  for (const id of open) if (states.get(id) === "sent") states.delete(id);
  return states;
}

/**
 * How likely each contract of a site answers, given what the site can show.
 *
 * valid: the kind's chance; conditions: of each condition that the contract names, the share that stays when it is
 * unknown or broken, multiplied (1 when met), or one share where none is recorded; evidence: by completeness; notice: by
 * whether it is out, late or still to come. A condition that is unknown never counts as met.
 *
 * @param got what is taken as got, to see what it would change
 */
export function provenChances(proof: SiteProof, params: LossParameters, got: ProofGot = {}): ChancesOf {
  const present = proof.items
    .filter((found) => found.present || found.item === got.item || got.everything)
    .map((found) => found.item);
  const evidence = got.accepted ?? acceptedChance(present, weightsOf(params));
  return (contract) => ({
    valid: params.coverageValid[contract.kind],
    conditions: conditionShare(contract, proof, params, got),
    evidence,
    notice: noticeChance(contract, proof, params, got),
  });
}

function conditionShare({ conditions }: Coverage, proof: SiteProof, params: LossParameters, got: ProofGot): number {
  if (conditions.length === 0) return got.termsRead || got.everything ? 1 : params.conditionsNotRecorded;
  let share = 1;
  for (const condition of new Set(conditions)) {
    if (condition === got.condition || got.everything) continue;
    const state = proof.conditions.find((c) => c.condition === condition)?.state ?? "unknown";
    if (state === "broken") share *= params.conditionBroken[condition];
    if (state === "unknown") share *= params.conditionUnknown[condition];
  }
  return share;
}

/** What went out or came too late cannot be changed by papers any more. */
function noticeChance(
  { coverageId, noticeDays }: Coverage,
  proof: SiteProof,
  params: LossParameters,
  got: ProofGot,
): number {
  const state = proof.notices.get(coverageId);
  if (state === "sent") return params.noticeSent;
  if (state === "late") return params.noticeLate;
  return noticeDays === null && !got.noticeRead && !got.everything ? params.noticeUnknown : params.noticeInTime;
}
