import type { Coverage, Instant, LocalDay, SiteRecords } from "../core/records.ts";
import { localDay } from "../core/zoned-time.ts";
import type { Diagnosis } from "../diagnose/diagnosis.ts";
import { type AccountMoney, accountRate } from "./account-money.ts";
import type { LossParameters } from "./loss-parameters.ts";

/** A warranty or policy in force with what it asks for and what it may pay. */
export interface OpenDeadline {
  coverageId: string;
  kind: Coverage["kind"];
  /** Last day of cover, site-local. */
  endsOn: LocalDay;
  daysLeft: number;
  /** Days from discovery in which notice is due; null: the contract has to be read. */
  noticeDays: number | null;
  noticeTo: string | null;
  /** Expected recovery at risk if the date passes, account currency; null without a rate. */
  atRisk: number | null;
  says: string;
}

const DAY_MS = 86_400_000;
const dayNumber = (day: LocalDay) => Math.round(Date.parse(`${day}T00:00:00Z`) / DAY_MS);

/** What a contract may pay for the causes it is about: repair, less the deductible, within the limit. */
function recoverable(
  coverage: Coverage,
  diagnosis: Pick<Diagnosis, "causes">,
  rate: number | null,
  params: LossParameters,
): number | null {
  if (rate === null) return null;
  const causes = Object.keys(params.repairCost) as (keyof typeof params.repairCost)[];
  const loss = causes.reduce((total, cause) => total + diagnosis.causes[cause] * params.repairCost[cause], 0);
  const afterDeductible = Math.max(0, loss - (coverage.deductibleAmount ?? 0) * rate);
  const within =
    coverage.limitAmount === null ? afterDeductible : Math.min(afterDeductible, coverage.limitAmount * rate);
  return within * params.coverageValid[coverage.kind] * params.evidenceAccepted;
}

/**
 * Warranties and policies of a site in force on the day of `asOf`, soonest end first. A notice period that is not
 * recorded is never guessed, and no date of discovery is set here: a person does that.
 */
export function openDeadlines(
  records: Pick<SiteRecords, "coverage"> & { site: Pick<SiteRecords["site"], "timeZone" | "currency"> },
  diagnosis: Pick<Diagnosis, "causes">,
  asOf: Instant,
  money: AccountMoney,
  params: LossParameters,
): OpenDeadline[] {
  const today = localDay(asOf, records.site.timeZone);
  return records.coverage
    .filter((coverage) => coverage.startsOn <= today && today <= coverage.endsOn)
    .map((coverage) => {
      const daysLeft = dayNumber(coverage.endsOn) - dayNumber(today);
      const notice =
        coverage.noticeDays === null
          ? "Read the contract, notify now."
          : `Notice is due within ${coverage.noticeDays} days of discovery.`;
      return {
        coverageId: coverage.coverageId,
        kind: coverage.kind,
        endsOn: coverage.endsOn,
        daysLeft,
        noticeDays: coverage.noticeDays,
        noticeTo: coverage.noticeTo,
        atRisk: recoverable(
          coverage,
          diagnosis,
          accountRate(coverage.currency ?? records.site.currency, money),
          params,
        ),
        says: `${coverage.kind.replace("_", " ")} ${coverage.coverageId} ends on ${coverage.endsOn}, in ${daysLeft} days. ${notice}`,
      };
    })
    .sort((a, b) => a.daysLeft - b.daysLeft || (a.coverageId < b.coverageId ? -1 : 1));
}
