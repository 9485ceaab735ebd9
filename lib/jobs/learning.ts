import { createHash } from "node:crypto";
import { ACCOUNT_PARAMETERS } from "../coverage/account-parameters.ts";
import { type CheckedSite, checkedDays, judgedChecks } from "../diagnose/judged-checks.ts";
import type { JudgedCheck } from "../diagnose/learn-checks.ts";
import { overridesOf, withOverrides } from "../diagnose/parameter-overrides.ts";
import { DEFAULT_PARAMETERS, type ParameterTable } from "../diagnose/parameters.ts";
import { learnFrom, type StatedOutcome, unlearnedTable } from "../diagnose/unlearned-table.ts";
import { type ConfirmedVisit, confirmedVisits } from "../diagnose/visit-outcomes.ts";
import { confirmingRecords, type StatedBefore, statedBefore } from "../store/confirmed-records.ts";
import { Overrides, parameterTable, parameterVersions } from "../store/parameter-versions.ts";
import type { Sql } from "../store/transaction.ts";

/** A confirmed visit with what was stated before it. */
export interface ForecastVisit {
  visit: ConfirmedVisit;
  stated: StatedBefore;
}

/** What there is to learn from: confirmed visits that a score went before, and checks beside what was known of them. */
interface Lessons {
  visits: ForecastVisit[];
  withoutScore: number;
  checks: JudgedCheck[];
}

async function lessons(tx: Sql): Promise<Lessons> {
  const records = await confirmingRecords(tx);
  const days = records.flatMap((own) => [...checkedDays(own)].map(([day, at]) => ({ siteId: own.siteId, day, at })));
  const stated = days.length > 0 ? await statedBefore(tx, days) : new Map<number, StatedBefore>();
  const ofDay = new Map(days.map(({ siteId, day }, i) => [`${siteId}\n${day}`, stated.get(i)?.causes ?? null]));
  return {
    ...(await forecastOf(tx, records)),
    checks: records.flatMap((own) => judgedChecks(own, (day) => ofDay.get(`${own.siteId}\n${day}`) ?? null)),
  };
}

async function forecastOf(tx: Sql, records: readonly CheckedSite[]): Promise<Omit<Lessons, "checks">> {
  // Which check settles which cause is a matter of the program's defaults, not of an account's edits.
  const confirmed = records.flatMap((own) => confirmedVisits(own, DEFAULT_PARAMETERS));
  const stated = confirmed.length > 0 ? await statedBefore(tx, confirmed) : new Map<number, StatedBefore>();
  const visits = confirmed.flatMap((visit, place) => {
    const before = stated.get(place);
    return before ? [{ visit, stated: before }] : [];
  });
  return { visits, withoutScore: confirmed.length - visits.length };
}

/** Every confirmed visit that a score went before; the count of those that none did beside it. */
export async function forecastVisits(tx: Sql): Promise<{ visits: ForecastVisit[]; withoutScore: number }> {
  return forecastOf(tx, await confirmingRecords(tx));
}

export interface LearnedTable {
  table: ParameterTable;
  outcomes: StatedOutcome[];
  checks: JudgedCheck[];
  withoutScore: number;
}

/**
 * The table that confirmed visits propose over the current one, and what it rests on. The worker keeps it ready after
 * each scoring; where that is out of date it is learned on the spot, which takes seconds where outcomes are many.
 */
export async function learnedTable(tx: Sql, current: ParameterTable): Promise<LearnedTable> {
  const from = await learnedFrom(tx, current);
  const [kept] = await tx`SELECT learned_from, rows FROM learned_proposal WHERE account_id = current_account()`;
  const fresh = kept?.learned_from === from.hash;
  const { outcomes, checks, withoutScore } = from;
  const table = fresh
    ? withOverrides(ACCOUNT_PARAMETERS, Overrides.parse(kept?.rows), "learned")
    : learnFrom(current, from.unlearned, outcomes, checks);
  return { table, outcomes, checks, withoutScore };
}

/** Learn anew where there is anything new to learn from, and keep it for whoever looks. */
export async function keepLearned(tx: Sql): Promise<void> {
  const [newest] = await parameterVersions(tx, 1);
  const current = parameterTable(newest ?? null);
  const { hash, unlearned, outcomes, checks } = await learnedFrom(tx, current);
  const [kept] = await tx`SELECT learned_from FROM learned_proposal WHERE account_id = current_account()`;
  if (kept?.learned_from === hash) return;
  const rows = overridesOf(ACCOUNT_PARAMETERS, learnFrom(current, unlearned, outcomes, checks));
  await tx`INSERT INTO learned_proposal (account_id, learned_from, rows) VALUES (current_account(), ${hash}, ${tx.json(rows as never)})
    ON CONFLICT (account_id) DO UPDATE SET learned_from = excluded.learned_from, rows = excluded.rows, computed_at = now()`;
}

async function learnedFrom(tx: Sql, current: ParameterTable) {
  const versions = await parameterVersions(tx, 10_000);
  const tables = new Map(versions.map((row) => [parameterTable(row).version, parameterTable(row)]));
  const { visits, withoutScore, checks } = await lessons(tx);
  const outcomes = visits
    .map(({ visit, stated }) => ({
      at: visit.at,
      siteId: visit.siteId,
      found: visit.found,
      lookedFor: visit.lookedFor,
      stated: stated.causes,
      statedWith: tables.get(stated.parameter_version) ?? ACCOUNT_PARAMETERS,
      basis: stated.basis,
    }))
    .sort((a, b) => a.at - b.at);
  const steps = versions.map((row) => ({
    version: row.version,
    parent: row.parent ?? 0,
    kind: row.kind,
    restores: row.restores,
    table: parameterTable(row),
  }));
  const unlearned = unlearnedTable(steps, versions[0]?.version ?? 0, ACCOUNT_PARAMETERS);
  const hash = createHash("sha256")
    .update(
      JSON.stringify([
        current.version,
        outcomes.map(({ statedWith, basis, ...own }) => [own, statedWith.version, basis]),
        checks.map(({ presence, ...own }) => [own, [...presence]]),
      ]),
    )
    .digest("hex");
  return { hash, unlearned, outcomes, checks, withoutScore };
}
