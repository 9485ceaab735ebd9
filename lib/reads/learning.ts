import "server-only";
import { ACCOUNT_PARAMETERS } from "../coverage/account-parameters.ts";
import { DEFAULT_PARAMETERS, type ParameterTable } from "../diagnose/parameters.ts";
import { learnFrom, type StatedOutcome, unlearnedTable } from "../diagnose/unlearned-table.ts";
import { type ConfirmedVisit, confirmedVisits } from "../diagnose/visit-outcomes.ts";
import { confirmingRecords, type StatedBefore, statedBefore } from "../store/confirmed-records.ts";
import { parameterTable, parameterVersions } from "../store/parameter-versions.ts";
import type { Sql } from "../store/transaction.ts";

/** A confirmed visit with what was stated before it. */
export interface ForecastVisit {
  visit: ConfirmedVisit;
  stated: StatedBefore;
}

/** Every confirmed visit that a score went before; the count of those that none did beside it. */
export async function forecastVisits(tx: Sql): Promise<{ visits: ForecastVisit[]; withoutScore: number }> {
  const records = await confirmingRecords(tx);
  // Which check settles which cause is a matter of the program's defaults, not of an account's edits.
  const confirmed = records.flatMap((own) => confirmedVisits(own, DEFAULT_PARAMETERS));
  const stated = confirmed.length > 0 ? await statedBefore(tx, confirmed) : new Map<number, StatedBefore>();
  const visits = confirmed.flatMap((visit, place) => {
    const before = stated.get(place);
    return before ? [{ visit, stated: before }] : [];
  });
  return { visits, withoutScore: confirmed.length - visits.length };
}

/** The table that confirmed visits propose over the current one, and the outcomes it rests on. */
export async function learnedTable(
  tx: Sql,
  current: ParameterTable,
): Promise<{ table: ParameterTable; outcomes: StatedOutcome[]; withoutScore: number }> {
  const versions = await parameterVersions(tx, 10_000);
  const tables = new Map(versions.map((row) => [parameterTable(row).version, parameterTable(row)]));
  const { visits, withoutScore } = await forecastVisits(tx);
  const outcomes = visits.map(({ visit, stated }) => ({
    siteId: visit.siteId,
    found: visit.found,
    lookedFor: visit.lookedFor,
    stated: stated.causes,
    statedWith: tables.get(stated.parameter_version) ?? DEFAULT_PARAMETERS,
  }));
  const steps = versions.map((row) => ({
    version: row.version,
    parent: row.parent ?? 0,
    kind: row.kind,
    restores: row.restores,
    table: parameterTable(row),
  }));
  const unlearned = unlearnedTable(steps, versions[0]?.version ?? 0, ACCOUNT_PARAMETERS);
  return { table: learnFrom(current, unlearned, outcomes), outcomes, withoutScore };
}
