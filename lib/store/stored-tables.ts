import { z } from "zod";
import type { Sql } from "./transaction.ts";

/** A table whose rows a backup holds. */
export interface StoredTable {
  name: string;
  columns: string[];
  /** Its primary key, in whose order its rows are written. */
  key: string[];
  /** Its rows belong to accounts, and row security lets one account through at a time. */
  perAccount: boolean;
}

/**
 * Filled by the program itself: what was applied, and a mirror of `account` that a trigger keeps. Nor is what lets somebody
 * in while it lasts: after a restore everybody signs in anew. What waits for a score is found anew by the first round.
 */
const NOT_STORED = [
  ...["_prisma_migrations", "account_directory", "site_change"],
  ...["sign_in_session", "sign_in_challenge", "sign_in_rate", "sign_in_lock"],
];

const Row = z.object({
  name: z.string(),
  columns: z.array(z.string()),
  key: z.array(z.string()),
  parents: z.array(z.string()),
});

/** Every table of this installation's records, each after those that it refers to. */
export async function storedTables(tx: Sql): Promise<StoredTable[]> {
  const found = await tx`
    SELECT c.relname AS name,
      (SELECT array_agg(attname::text ORDER BY attnum) FROM pg_attribute
        WHERE attrelid = c.oid AND attnum > 0 AND NOT attisdropped AND attgenerated = '') AS columns,
      (SELECT array_agg(a.attname::text ORDER BY k.n) FROM pg_constraint p CROSS JOIN LATERAL unnest(p.conkey) WITH ORDINALITY AS k (attnum, n)
        JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum = k.attnum WHERE p.conrelid = c.oid AND p.contype = 'p') AS key,
      (SELECT coalesce(array_agg(DISTINCT f.relname::text), '{}') FROM pg_constraint p JOIN pg_class f ON f.oid = p.confrelid
        WHERE p.conrelid = c.oid AND p.contype = 'f' AND p.confrelid <> c.oid) AS parents
    FROM pg_class c WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND NOT c.relispartition
      AND c.relname <> ALL(${NOT_STORED}) ORDER BY c.relname`;
  const waiting = z.array(Row).parse([...found]);
  const out: StoredTable[] = [];
  while (waiting.length > 0) {
    const at = waiting.findIndex((t) => t.parents.every((parent) => !waiting.some((w) => w.name === parent)));
    const [next] = waiting.splice(at, 1);
    if (at < 0 || !next) throw new RangeError("storedTables cannot order tables that refer to each other in a circle");
    out.push({
      name: next.name,
      columns: next.columns,
      key: next.key,
      perAccount: next.columns.includes("account_id"),
    });
  }
  return out;
}

const quoted = (names: readonly string[]) => names.map((name) => `"${name}"`).join(", ");

/** Rows of a table, of one account where they belong to accounts, in the order of its key. */
export function rowsOf(table: StoredTable, accountId: number | null): string {
  const where = accountId === null ? "" : ` WHERE account_id = ${Math.trunc(accountId)}`;
  return `SELECT ${quoted(table.columns)} FROM "${table.name}"${where} ORDER BY ${quoted(table.key)}`;
}

export function copyStatement({ name, columns }: { name: string; columns: readonly string[] }): string {
  return `COPY "${name}" (${quoted(columns)}) FROM STDIN`;
}

/** Accounts of the installation, in order. */
export async function accountIds(tx: Sql): Promise<number[]> {
  const rows = await tx<{ id: number }[]>`SELECT id FROM account_directory ORDER BY id`;
  return rows.map((row) => row.id);
}

/** Migrations that this database has, in order. */
export async function appliedMigrations(tx: Sql): Promise<{ name: string; checksum: string }[]> {
  const rows = await tx<
    { name: string; checksum: string }[]
  >`SELECT migration_name AS name, checksum FROM _prisma_migrations
    WHERE rolled_back_at IS NULL AND finished_at IS NOT NULL ORDER BY migration_name`;
  return rows.map(({ name, checksum }) => ({ name, checksum }));
}
