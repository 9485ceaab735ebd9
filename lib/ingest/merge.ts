import type { FileSpec } from "../contract/file-spec.ts";
import type { RowParser } from "../contract/row-parser.ts";
import type { Sql } from "../store/transaction.ts";
import { STAGING } from "./stage.ts";

const quoted = (name: string) => `"${name}"`;

/** Of several staged rows with one key the last stays. @returns how many went */
export async function dropEarlierDuplicates(tx: Sql, columns: RowParser["columns"]): Promise<number> {
  const keys = columns
    .filter((c) => c.key)
    .map((c) => quoted(c.name))
    .join(", ");
  const gone = await tx.unsafe(`DELETE FROM ${STAGING} s USING (
      SELECT line, lead(line) OVER (PARTITION BY ${keys} ORDER BY line) AS later FROM ${STAGING}) d
    WHERE s.line = d.line AND d.later IS NOT NULL`);
  return gone.count;
}

/**
 * Merge the staged rows into their table by natural key. Only columns that the file has are touched; a row equal to
 * what is stored is left alone.
 * @returns how many rows were new or changed
 */
export async function mergeStaged(tx: Sql, spec: FileSpec, columns: RowParser["columns"]): Promise<number> {
  const names = columns.map((c) => quoted(c.name));
  const keys = columns.filter((c) => c.key).map((c) => quoted(c.name));
  const others = columns.filter((c) => !c.key).map((c) => quoted(c.name));
  const own =
    spec.table === "site" ? ["revision = t.revision + 1"] : spec.table === "station" ? ["version = t.version + 1"] : [];
  const update =
    others.length === 0
      ? "DO NOTHING"
      : `DO UPDATE SET ${[...others.map((c) => `${c} = excluded.${c}`), ...own].join(", ")}
         WHERE (${others.map((c) => `t.${c}`).join(", ")}) IS DISTINCT FROM (${others.map((c) => `excluded.${c}`).join(", ")})`;
  const touches = spec.bySite && spec.table !== "site";
  const [row] = await tx.unsafe<{ accepted: string }[]>(`
    WITH changed AS (
      INSERT INTO ${spec.table} AS t (account_id, ${names.join(", ")})
      SELECT current_account(), ${names.join(", ")} FROM ${STAGING}
      ON CONFLICT (account_id, ${keys.join(", ")}) ${update}
      RETURNING ${touches ? "site_id" : "1"}
    )${
      touches
        ? `, touched AS (UPDATE site SET revision = revision + 1
             WHERE account_id = current_account() AND site_id IN (SELECT site_id FROM changed))`
        : ""
    }
    SELECT count(*) AS accepted FROM changed`);
  return Number(row?.accepted ?? 0);
}

/** A site that staged rows put into another book than a row before them, in the file or as stored. */
export interface BookChange {
  siteId: string;
  from: string;
  to: string;
  /** Both books stand in this file. */
  isInFile: boolean;
}

/**
 * Sites that a file puts into two books, or takes out of the book that they are stored in. Call before duplicates go.
 * @returns by site
 */
export async function bookChanges(tx: Sql): Promise<BookChange[]> {
  const rows = await tx.unsafe<{ site_id: string; from: string; to: string; is_in_file: boolean }[]>(`
    WITH last AS (SELECT DISTINCT ON (site_id) site_id, portfolio, line FROM ${STAGING} ORDER BY site_id, line DESC),
    named AS (
      SELECT s.site_id, s.portfolio, true AS is_in_file FROM ${STAGING} s
      UNION SELECT t.site_id, t.portfolio, false FROM site t WHERE t.account_id = current_account())
    SELECT l.site_id, n.portfolio AS "from", l.portfolio AS "to", bool_or(n.is_in_file) AS is_in_file
    FROM last l JOIN named n ON n.site_id = l.site_id AND n.portfolio <> l.portfolio GROUP BY 1, 2, 3 ORDER BY 1, 2`);
  return rows.map((row) => ({ siteId: row.site_id, from: row.from, to: row.to, isInFile: row.is_in_file }));
}

/** Column of the time that a row of a log begins at. */
export const startOf = (spec: FileSpec): string => (spec.kind === "faults" ? "started_at" : "observed_at");

/** Books of sites that the staged sites name for the first time. */
export async function makePortfolios(tx: Sql): Promise<void> {
  await tx.unsafe(`INSERT INTO portfolio (account_id, portfolio)
    SELECT DISTINCT current_account(), portfolio FROM ${STAGING} ON CONFLICT DO NOTHING`);
}

/** Partitions for the months that the staged faults begin in. @param months `YYYY-MM` */
export async function makeFaultMonths(tx: Sql, months: readonly string[]): Promise<void> {
  await tx.unsafe("SELECT ensure_fault_month(month) FROM unnest($1::date[]) AS month ORDER BY month", [
    months.map((month) => `${month}-01`),
  ]);
}

/** Extend what the log of each inverter covers, and how far the imported records reach. */
export async function noteReach(tx: Sql, spec: FileSpec, columns: RowParser["columns"]): Promise<void> {
  const has = (name: string) => columns.some((c) => c.name === name);
  if (spec.isLog) {
    const start = startOf(spec);
    const end = spec.kind === "faults" && has("ended_at") ? "greatest(started_at, ended_at)" : start;
    await tx.unsafe(
      extendLogs(
        `SELECT current_account(), site_id, inverter_id, min(${start}), max(${end}) FROM ${STAGING} GROUP BY site_id, inverter_id`,
      ),
    );
    if (spec.kind === "faults") await tx.unsafe(reachTo("fault_at", stagedReach(end)));
  }
  if (spec.kind === "telemetry") await tx.unsafe(reachTo("telemetry_at", stagedReach("ended_at")));
}

/** Statement by which rows of account, site, inverter, first and last time extend what the logs cover. */
export const extendLogs = (rows: string) => `
  INSERT INTO inverter_log AS t (account_id, site_id, inverter_id, first_row, last_row) ${rows}
  ON CONFLICT (account_id, site_id, inverter_id) DO UPDATE SET
    first_row = least(t.first_row, excluded.first_row), last_row = greatest(t.last_row, excluded.last_row)
  WHERE t.first_row > excluded.first_row OR t.last_row < excluded.last_row`;

const stagedReach = (expression: string) =>
  `SELECT current_account(), max(${expression}) FROM ${STAGING} HAVING max(${expression}) IS NOT NULL`;

/** Statement by which a row of account and time extends how far the records of an account reach. */
export const reachTo = (column: string, row: string) => `
  INSERT INTO data_horizon AS t (account_id, ${column}) ${row}
  ON CONFLICT (account_id) DO UPDATE SET ${column} = greatest(t.${column}, excluded.${column})`;
