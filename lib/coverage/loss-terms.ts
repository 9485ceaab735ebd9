import { BONDING_CAUSES, CAUSES, type Cause, type Coverage, type LocalDay } from "../core/records.ts";
import { type AccountMoney, accountRate } from "./account-money.ts";
import type { LossParameters } from "./loss-parameters.ts";
import { MOST_TERMS, type RecoveryTerm } from "./recovery.ts";

/** What a contract can be asked to pay. */
export type ClaimKind = "repair" | "property" | "people";

/** How likely a contract answers, in its parts; whoever knows the records better gives better ones. */
export interface AnswerChances {
  /** It answers at all, its conditions being met. */
  valid: number;
  /** Share of that which stays with its conditions as they are; 1: met, or nothing known of them. */
  conditions: number;
  evidence: number;
  notice: number;
}
export type ChancesOf = (coverage: Coverage) => AnswerChances;

/** The account's flat chances, for where nothing better is known of a contract. */
export function flatChances(params: LossParameters): ChancesOf {
  return (coverage) => ({
    valid: params.coverageValid[coverage.kind],
    conditions: 1,
    evidence: params.evidenceAccepted,
    notice: coverage.noticeDays === null ? params.noticeUnknown : params.noticeInTime,
  });
}

/** Which causes' repairs a warranty is asked for: work for the installer, hardware for its maker. Judgement. */
export const REPAIRED_UNDER: Record<"workmanship" | "equipment", readonly Cause[]> = {
  workmanship: [...BONDING_CAUSES, "conductor_insulation", "connector_ingress"],
  equipment: ["connector_ingress", "module_insulation", "detector_fault"],
};

/** A contract that counts, with what it is asked for. */
export interface SiteTerm extends RecoveryTerm {
  kind: Coverage["kind"];
  claim: ClaimKind;
  causes: readonly Cause[];
  chances: AnswerChances;
  endsOn: LocalDay;
  /** Contracts of one policy share this; its limit for the year where the limit is one for all claims, else null. */
  policy: string;
  yearLimit: number | null;
}

/** Something about a contract that a person has to know; `counted` false: it recovers nothing in the figures. */
export interface TermRemark {
  coverageId: string;
  counted: boolean;
  says: string;
}

export interface SiteTerms {
  terms: SiteTerm[];
  remarks: TermRemark[];
}

const YEAR_DAYS = 365.25;
const dayNumber = (day: LocalDay) => Math.round(Date.parse(`${day}T00:00:00Z`) / 86_400_000);
const CLAIM: Record<Coverage["kind"], ClaimKind> = {
  workmanship: "repair",
  equipment: "repair",
  property_insurance: "property",
  liability_insurance: "people",
};
const CLAIM_WORDS = ["repair", "property", "people"] as const;

/** Causes that an exclusion takes away; null: not a word that the model knows. */
function excluded(word: string): { causes: readonly Cause[]; all: boolean } | null {
  const name = word.trim().toLowerCase().replaceAll(" ", "_").replaceAll("-", "_");
  if ((CAUSES as readonly string[]).includes(name)) return { causes: [name as Cause], all: false };
  if (["improper_grounding", "grounding", "bonding"].includes(name)) return { causes: BONDING_CAUSES, all: false };
  if (["lightning", "surge"].includes(name)) return { causes: ["surge_damage"], all: false };
  if ((CLAIM_WORDS as readonly string[]).includes(name)) return { causes: [], all: true };
  return null;
}

/**
 * A site's contracts as terms for the year from `today`, earliest start first, with a remark on each that is not
 * whole or not as it seems. Nothing is dropped in silence: what does not count says why.
 *
 * A repair is asked for today; a property loss or an injury when it falls. A term that is not recorded is never taken
 * in the owner's favour: no limit basis is one limit for the whole year, a limit below its deductible pays nothing.
 *
 * @param siteCurrency currency of the site's own money, where a contract names none
 */
export function siteTerms(
  coverage: readonly Coverage[],
  about: { siteCurrency: string | null; today: LocalDay; money: AccountMoney; chancesOf: ChancesOf },
): SiteTerms {
  const remarks: TermRemark[] = [];
  const sorted = [...coverage].sort((a, b) =>
    a.startsOn !== b.startsOn ? (a.startsOn < b.startsOn ? -1 : 1) : a.coverageId < b.coverageId ? -1 : 1,
  );
  const terms = sorted.flatMap((c) => {
    const { term, said } = termOf(c, about);
    remarks.push(...said.map((says) => ({ coverageId: c.coverageId, counted: term !== null, says })));
    return term ? [term] : [];
  });
  return { terms: [...withoutCrowds(terms, remarks)], remarks: [...remarks, ...overlaps(terms)] };
}

function termOf(
  c: Coverage,
  { siteCurrency, today, money, chancesOf }: Parameters<typeof siteTerms>[1],
): { term: SiteTerm | null; said: string[] } {
  const none = (says: string) => ({ term: null, said: [says] });
  if (c.endsOn < c.startsOn)
    return none(`It ends on ${c.endsOn}, before it starts on ${c.startsOn}: correct the dates. It is not counted.`);
  const now = dayNumber(today);
  const from = Math.max(0, (dayNumber(c.startsOn) - now) / YEAR_DAYS);
  const to = Math.min(1, (dayNumber(c.endsOn) + 1 - now) / YEAR_DAYS);
  if (to <= 0) {
    const ask =
      c.trigger === "occurrence" ? " It answers for what happened in its time: ask, if the defect is older." : "";
    return none(`It ended on ${c.endsOn} and is not counted.${ask}`);
  }
  if (from >= 1) return none(`It starts on ${c.startsOn}, more than a year from now, and is not counted.`);
  const claim = CLAIM[c.kind];
  if (claim === "repair" && from > 0)
    return none(`It starts on ${c.startsOn}: a defect that is there today would come before it. It is not counted.`);
  const rate = accountRate(c.currency ?? siteCurrency, money);
  if (rate === null)
    return none(
      `Its money is in ${c.currency ?? siteCurrency}, for which the account has no rate into ${money.accountCurrency}: add the rate. It is not counted.`,
    );
  const said: string[] = [];
  if (c.currency === null && (c.limitAmount !== null || c.deductibleAmount !== null))
    said.push(`No currency is recorded: its sums are taken as ${siteCurrency ?? money.accountCurrency}.`);
  if (c.limitAmount === null) said.push("No limit is recorded: it is counted without one. Read the contract.");
  if (c.deductibleAmount === null) said.push("No deductible is recorded: none is counted. Read the contract.");
  const deductible = (c.deductibleAmount ?? 0) * rate;
  let limit = c.limitAmount === null ? Number.POSITIVE_INFINITY : c.limitAmount * rate;
  if (limit < deductible) {
    said.push("Its limit is below its deductible: check both. Until then it is counted as paying nothing.");
    limit = 0;
  }
  if (limit !== Number.POSITIVE_INFINITY && c.limitBasis === null)
    said.push(
      "Whether the limit is for each loss or for all of a year is not recorded: it is counted as one for the year.",
    );
  if (c.trigger === "claims_made" && claim !== "repair")
    said.push("It answers only for claims made while it runs: tell the carrier of a known defect before it ends.");
  const { causes, whole } = causesLeft(c, claim, said);
  if (whole) return { term: null, said };
  const chances = chancesOf(c);
  return {
    term: {
      coverageId: c.coverageId,
      kind: c.kind,
      claim,
      causes,
      limit,
      deductible,
      from,
      to,
      chances,
      chance: chances.valid * chances.conditions * chances.evidence * chances.notice,
      endsOn: c.endsOn,
      policy: c.policyNumber === null ? `contract ${c.coverageId}` : `${c.kind} ${c.provider ?? ""} ${c.policyNumber}`,
      yearLimit: c.limitBasis === "per_occurrence" || limit === Number.POSITIVE_INFINITY ? null : limit,
    },
    said,
  };
}

function causesLeft(c: Coverage, claim: ClaimKind, said: string[]): { causes: Cause[]; whole: boolean } {
  let causes: Cause[] = c.kind === "workmanship" || c.kind === "equipment" ? [...REPAIRED_UNDER[c.kind]] : [...CAUSES];
  for (const word of c.excludes) {
    const out = excluded(word);
    if (out === null) said.push(`It excludes "${word}", which the model cannot weigh: read the contract.`);
    else if (out.all && word.trim().toLowerCase() === claim) {
      said.push(`It excludes "${word}", which is what it would be asked for. It is not counted.`);
      return { causes: [], whole: true };
    } else causes = causes.filter((cause) => !out.causes.includes(cause));
  }
  return { causes, whole: false };
}

/** More contracts of one kind than can be weighed: the earliest are, and that is said. */
function withoutCrowds(terms: readonly SiteTerm[], remarks: TermRemark[]): SiteTerm[] {
  const seen = new Map<ClaimKind, number>();
  return terms.filter((term) => {
    const n = (seen.get(term.claim) ?? 0) + 1;
    seen.set(term.claim, n);
    if (n <= MOST_TERMS) return true;
    const says = `There are more than ${MOST_TERMS} contracts for the same kind of loss: this one is not counted.`;
    remarks.push({ coverageId: term.coverageId, counted: false, says });
    return false;
  });
}

/** Contracts that answer for the same loss at the same time. */
function overlaps(terms: readonly SiteTerm[]): TermRemark[] {
  return terms.flatMap((term, i) => {
    const before = terms
      .slice(0, i)
      .filter(
        (o) =>
          o.claim === term.claim &&
          o.from < term.to &&
          term.from < o.to &&
          o.causes.some((c) => term.causes.includes(c)),
      );
    if (before.length === 0) return [];
    const says = `It runs beside ${before.map((o) => o.coverageId).join(", ")} for the same loss: it is asked for what the earlier leaves; no sum is counted twice.`;
    return [{ coverageId: term.coverageId, counted: true, says }];
  });
}
