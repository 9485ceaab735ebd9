import { BONDING_CAUSES, CAUSES, type Cause } from "../core/records.ts";
import type { BandedProbability } from "../diagnose/diagnosis.ts";
import type { AnnualLoss } from "./expected-annual-loss.ts";
import type { LossParameters } from "./loss-parameters.ts";
import type { SiteTerms } from "./loss-terms.ts";
import { expectedPaid, type Severity } from "./recovery.ts";

/** What one cause costs when it is there: how often a year, and how much. Account currency. */
export interface CauseSeverity {
  cause: Cause;
  probability: number;
  repair: Severity;
  /** Share of the repair cost that a year's delay adds; nobody else pays it. */
  escalation: number;
  propertyPerYear: number;
  property: Severity;
  peoplePerYear: number;
  people: Severity;
  /** Energy of trips laid to this cause, already weighted by its probability; nobody else pays it. */
  energy: number;
}

/** Gross, recovered and net of a site for the coming year, account currency; expectations. */
export interface NetLoss {
  gross: number;
  recovered: number;
  net: number;
  /** Net with the probabilities of the bonding family at their 5 % and 95 % points. */
  netLow: number;
  netHigh: number;
  grossLow: number;
  grossHigh: number;
  /** Highest net first. */
  byCause: {
    cause: Cause;
    probability: number;
    repair: number;
    property: number;
    people: number;
    energy: number;
    escalation: number;
    gross: number;
    recovered: number;
    net: number;
  }[];
  byContract: { coverageId: string; recovered: number }[];
}

/** What each cause costs at a site when present, from its expected annual loss. */
export function causeSeverities(loss: AnnualLoss, params: LossParameters): CauseSeverity[] {
  const property = { mean: params.severeLossShare * loss.insured, spread: params.propertySpread };
  const people = { mean: params.seriousHarm, spread: params.peopleSpread };
  return CAUSES.map((cause) => {
    const own = loss.byCause.find((entry) => entry.cause === cause);
    return {
      cause,
      probability: own?.probability ?? 0,
      repair: { mean: params.repairCost[cause], spread: params.repairSpread },
      escalation: params.escalationPerYear[cause],
      propertyPerYear: params.severeLossPerYear[cause],
      property,
      peoplePerYear: Math.min(1, params.harmPerYear[cause] * loss.accessWeight),
      people,
      energy: own?.energy ?? 0,
    };
  });
}

/** Expected payment by contract for each loss of a cause that is present. */
function paidFor(severity: CauseSeverity, { terms }: SiteTerms): Map<string, number> {
  const paid = new Map<string, number>();
  const add = (claim: "repair" | "property" | "people", loss: Severity, perYear: number) => {
    const asked = terms.filter((term) => term.claim === claim && term.causes.includes(severity.cause));
    expectedPaid(loss, asked, claim === "repair" ? "now" : "year").forEach((sum, i) => {
      const id = asked[i]?.coverageId as string;
      paid.set(id, (paid.get(id) ?? 0) + sum * perYear);
    });
  };
  add("repair", severity.repair, 1);
  add("property", severity.property, severity.propertyPerYear);
  add("people", severity.people, severity.peoplePerYear);
  return paid;
}

/**
 * Expected annual loss of a site by cause, net of what its contracts are expected to pay.
 *
 * net = sum over causes of P(cause) x [repair - paid + property a year - paid + people a year - paid + escalation], and
 * the energy of trips. Limits that several sites share for a year bind only in the distribution, not here.
 *
 * @param bonding band of the bonding family; its causes are moved in proportion for the band of the loss
 */
export function netAnnualLoss(
  severities: readonly CauseSeverity[],
  terms: SiteTerms,
  bonding: BandedProbability,
): NetLoss {
  const byContract = new Map<string, number>();
  const byCause = severities.map((s) => {
    const paid = paidFor(s, terms);
    for (const [id, sum] of paid) byContract.set(id, (byContract.get(id) ?? 0) + s.probability * sum);
    const repair = s.probability * s.repair.mean;
    const property = s.probability * s.propertyPerYear * s.property.mean;
    const people = s.probability * s.peoplePerYear * s.people.mean;
    const escalation = repair * s.escalation;
    const gross = repair + property + people + escalation + s.energy;
    const recovered = s.probability * [...paid.values()].reduce((sum, x) => sum + x, 0);
    const rest = { repair, property, people, energy: s.energy, escalation };
    return { cause: s.cause, probability: s.probability, ...rest, gross, recovered, net: gross - recovered };
  });
  const total = (term: "gross" | "recovered" | "net") => byCause.reduce((sum, entry) => sum + entry[term], 0);
  const at = (term: "gross" | "net", p: number) =>
    byCause.reduce((sum, entry) => {
      const moves = (BONDING_CAUSES as readonly Cause[]).includes(entry.cause) && bonding.p > 0;
      // A cause cannot be surer than certain, however far the family moves.
      const factor = moves ? Math.min(p / bonding.p, entry.probability > 0 ? 1 / entry.probability : 1) : 1;
      return sum + entry.energy + factor * (entry[term] - entry.energy);
    }, 0);
  return {
    gross: total("gross"),
    recovered: total("recovered"),
    net: total("net"),
    netLow: at("net", bonding.low),
    netHigh: at("net", bonding.high),
    grossLow: at("gross", bonding.low),
    grossHigh: at("gross", bonding.high),
    byCause: byCause.sort((a, b) => b.net - a.net || CAUSES.indexOf(a.cause) - CAUSES.indexOf(b.cause)),
    byContract: terms.terms.map(({ coverageId }) => ({ coverageId, recovered: byContract.get(coverageId) ?? 0 })),
  };
}
