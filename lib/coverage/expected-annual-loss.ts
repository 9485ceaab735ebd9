import { CAUSES, type Cause, type Instant, type SiteRecords } from "../core/records.ts";
import type { Diagnosis } from "../diagnose/diagnosis.ts";
import { type AccountMoney, accountRate } from "./account-money.ts";
import type { LossParameters } from "./loss-parameters.ts";
import { type TripEnergy, type TripLog, tripEnergy } from "./trip-energy.ts";

/** Expected loss of one cause in a year, account currency; each term already weighted by the cause's probability. */
export interface CauseLoss {
  cause: Cause;
  probability: number;
  people: number;
  property: number;
  energy: number;
  escalation: number;
  total: number;
}

export interface AnnualLoss {
  currency: string;
  /** Highest total first; ties by the order of CAUSES. */
  byCause: CauseLoss[];
  people: number;
  property: number;
  energy: number;
  escalation: number;
  total: number;
  trips: TripEnergy;
  /** Weight that access gives to harm. */
  accessWeight: number;
  /** Insured value, account currency. */
  insured: number;
  /** What had to be assumed, in words. */
  assumed: string[];
}

/** The site's money cannot be put into the account's currency. */
export interface NoRate {
  kind: "no_rate";
  currency: string;
}

const sum = (losses: CauseLoss[], term: "people" | "property" | "energy" | "escalation" | "total") =>
  losses.reduce((total, loss) => total + loss[term], 0);

/** What money a site's own records bring in, account currency. */
function siteMoney(records: Pick<SiteRecords, "site">, rate: number | null, params: LossParameters, assumed: string[]) {
  const { site } = records;
  if (site.energyPricePerKwh === null || rate === null)
    assumed.push(`energy price taken as ${params.energyPricePerKwh} a kWh`);
  if (site.insuredValue === null || rate === null)
    assumed.push(`insured value taken as ${params.insuredValuePerKw} a kW DC`);
  if (site.currency === null && (site.energyPricePerKwh !== null || site.insuredValue !== null))
    assumed.push("no currency recorded: taken as the account's");
  return {
    price: site.energyPricePerKwh === null || rate === null ? params.energyPricePerKwh : site.energyPricePerKwh * rate,
    insured:
      site.insuredValue === null || rate === null ? params.insuredValuePerKw * site.dcKw : site.insuredValue * rate,
  };
}

/**
 * What leaving a site alone for a year is expected to cost, by cause and term, in the account's currency.
 *
 * people = P(cause) x harm a year x access weight x seriousHarm; property = P x severe loss a year x share x insured
 * value; energy = the log's own trip losses, shared among causes by probability beside a weight for anything else;
 * escalation = P x repair cost x its yearly growth. Unknown access weighs as public.
 *
 * @param options.ignoreRate true: a site without a rate is valued with the account's own defaults (make-safe sites
 *   are never dropped for want of a rate); else it is refused by value
 * @shape O(causes + episodes); deterministic
 */
export function expectedAnnualLoss(
  input: {
    records: Pick<SiteRecords, "site" | "inverters">;
    diagnosis: Pick<Diagnosis, "causes">;
    correlation: TripLog;
    asOf: Instant;
    money: AccountMoney;
    params: LossParameters;
  },
  options: { ignoreRate?: boolean } = {},
): AnnualLoss | NoRate {
  const { records, diagnosis, params, money } = input;
  const rate = accountRate(records.site.currency, money);
  if (rate === null && !options.ignoreRate) return { kind: "no_rate", currency: records.site.currency ?? "" };
  const trips = tripEnergy(records, input.correlation, input.asOf, params);
  const assumed = [...trips.assumed];
  const { price, insured } = siteMoney(records, rate, params, assumed);
  if (records.site.access === null) assumed.push("access not recorded: counted as public");
  const accessWeight = params.accessWeight[records.site.access ?? "public"];
  const allCauses = CAUSES.reduce((total, cause) => total + diagnosis.causes[cause], 0) + params.otherCauseWeight;
  const byCause = CAUSES.map((cause) => {
    const probability = diagnosis.causes[cause];
    const people = probability * params.harmPerYear[cause] * accessWeight * params.seriousHarm;
    const property = probability * params.severeLossPerYear[cause] * params.severeLossShare * insured;
    const energy = allCauses > 0 ? (probability / allCauses) * trips.kwhPerYear * price : 0;
    const escalation = probability * params.repairCost[cause] * params.escalationPerYear[cause];
    return { cause, probability, people, property, energy, escalation, total: people + property + energy + escalation };
  }).sort((a, b) => b.total - a.total);
  return {
    currency: money.accountCurrency,
    byCause,
    people: sum(byCause, "people"),
    property: sum(byCause, "property"),
    energy: sum(byCause, "energy"),
    escalation: sum(byCause, "escalation"),
    total: sum(byCause, "total"),
    trips,
    accessWeight,
    insured,
    assumed,
  };
}
