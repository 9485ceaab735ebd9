import { cpSync, mkdirSync, mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import postgres from "postgres";
import { describe, expect, inject, test } from "vitest";
import { migrate, migrationFiles } from "../../lib/store/migrate.ts";
import { renamed } from "../support/renamed.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();

/** Values by column name where rows of several tables must fit together; by type everywhere else. */
const BY_NAME: Record<string, string> = {
  urgency: "'watch'",
  status: "'done'",
  time_zone: "'America/New_York'",
  currency: "'USD'",
  // Where a check looks at several columns.
  "path_piece.bonded_to": "NULL",
  "access_link.kind": "'calendar'",
  "access_link.site_id": "NULL",
  "path_bond.from_point": "'y'",
  "site_hold.reason": "'set by'",
};
const BY_TYPE: Record<string, string> = {
  text: "'x'",
  integer: "3",
  smallint: "3",
  bigint: "4",
  "double precision": "1.5",
  boolean: "true",
  date: "DATE '2024-05-06'",
  "timestamp with time zone": "TIMESTAMPTZ '2024-05-06 07:08:09.123Z'",
  jsonb: "'{\"a\": [1, null]}'::jsonb",
  bytea: "'\\x0102'::bytea",
  uuid: "'00000000-0000-4000-8000-000000000001'::uuid",
  ARRAY: "'{}'",
};
/** A month before those with a partition of their own, one among them and one to come. */
const FAULTS_AT = ["1975-03-01 00:00Z", "2024-05-06 07:08Z", "2060-01-01 00:00Z"];

type Rows = Record<string, Record<string, unknown>[]>;

async function tablesOf(sql: postgres.Sql): Promise<string[]> {
  const rows = await sql<{ t: string }[]>`
    SELECT c.relname AS t FROM pg_class c WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p')
      AND NOT c.relispartition AND c.relname <> '_prisma_migrations' ORDER BY 1`;
  return rows.map((row) => row.t);
}

/** Of columns that a check holds to certain words, one of these. */
async function wordsOf(sql: postgres.Sql, table: string): Promise<Map<string, string>> {
  const checks = await sql<{ text: string }[]>`
    SELECT pg_get_constraintdef(oid) AS text FROM pg_constraint WHERE contype = 'c' AND conrelid = ${table}::regclass`;
  return new Map(
    checks.flatMap(({ text }) => {
      const found = /^CHECK \(\((\w+) = ANY \(ARRAY\[('[^']+'::\w+)/.exec(text);
      return found ? [[found[1] as string, found[2] as string] as const] : [];
    }),
  );
}

/** Migrations make rows of the first accounts themselves. */
const FIRST_ACCOUNT = 101;

/** Other rows each time: keys and what is unique are told apart by the number. */
const numbered = (value: string, n: number) =>
  n === 0
    ? value
    : value
        .replace(/^'x'$/, `'x${n}'`)
        .replace(/^'\\x0102'/, `'\\x01${String(n).padStart(2, "0")}'`)
        .replace(/(0+)1'::uuid$/, (_, zeros: string) => `${zeros.slice(2)}${String(n).padStart(3, "0")}'::uuid`);

/**
 * A row with something in every column of every table that has none, or whose columns have become more; three in the
 * partitioned one.
 */
async function fill(
  sql: postgres.Sql,
  tables: readonly string[],
  filled: Map<string, { columns: number; times: number }>,
): Promise<void> {
  for (const at of FAULTS_AT) await sql`SELECT ensure_fault_month(${at}::date)`;
  for (const table of tables) {
    const columns = await sql<{ name: string; type: string }[]>`
      SELECT column_name AS name, data_type AS type FROM information_schema.columns
      WHERE table_schema = 'public' AND table_name = ${table} AND is_generated = 'NEVER' AND is_identity = 'NO' ORDER BY ordinal_position`;
    const before = filled.get(table) ?? { columns: 0, times: 0 };
    if (before.columns === columns.length) continue;
    const words = await wordsOf(sql, table);
    for (const at of table === "fault" ? FAULTS_AT : [null]) {
      const values = columns.map(({ name, type }) => {
        if (at !== null && name === "started_at") return `TIMESTAMPTZ '${at}'`;
        const own = BY_NAME[`${table}.${name}`] ?? words.get(name) ?? BY_NAME[name];
        if (name === "account_id" || name === "id")
          return type === "text" ? `'${FIRST_ACCOUNT + before.times}'` : String(FIRST_ACCOUNT + before.times);
        return own ?? numbered(BY_TYPE[type] ?? "NULL", before.times);
      });
      await sql
        .begin(async (tx) => {
          await tx`SET LOCAL session_replication_role = replica`;
          await tx.unsafe(
            `INSERT INTO "${table}" (${columns.map((c) => `"${c.name}"`).join(", ")}) VALUES (${values.join(", ")})`,
          );
        })
        .catch((error: Error) => {
          throw new Error(`${table} takes no made-up row (give it a value in BY_NAME): ${error.message}`);
        });
    }
    filled.set(table, { columns: columns.length, times: before.times + 1 });
  }
}

async function contents(sql: postgres.Sql, tables: readonly string[]): Promise<Rows> {
  const out: Rows = {};
  for (const table of tables) {
    const rows = await sql.unsafe<{ row: Record<string, unknown> }[]>(
      `SELECT to_jsonb(t) AS row FROM "${table}" t ORDER BY t::text`,
    );
    out[table] = rows.map(({ row }) => row);
  }
  return out;
}

/** What later releases hold of the columns that there were before. */
const narrowed = (after: Rows, before: Rows): Rows =>
  Object.fromEntries(
    Object.entries(before).map(([table, rows]) => [
      table,
      (after[table] ?? []).map((row) =>
        Object.fromEntries(Object.keys(rows[0] ?? {}).map((column) => [column, row[column]])),
      ),
    ]),
  );

describe("migrations over data", () => {
  test("from the first release on, one after another, every value of every row stays as it was", async () => {
    const admin = postgres(inject("adminUrl"), { max: 1, onnotice: () => {} });
    const { address } = database();
    const name = "t_migrate_forward";
    await admin.unsafe(`DROP DATABASE IF EXISTS ${name} WITH (FORCE)`);
    await admin.unsafe(`CREATE DATABASE ${name}${address.embedded ? " OWNER raintrip_owner" : ""}`);
    const own = { ...address, ownerUrl: renamed(address.ownerUrl, name), appUrl: renamed(address.appUrl, name) };
    const sql = postgres(renamed(inject("adminUrl"), name), { max: 1, onnotice: () => {} });
    const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-forward-"));
    try {
      const all = migrationFiles();
      expect(all.length).toBeGreaterThan(5);
      const filled = new Map<string, { columns: number; times: number }>();
      for (const [i, migration] of all.entries()) {
        mkdirSync(folder, { recursive: true });
        cpSync(path.join("prisma/migrations", migration.name), path.join(folder, migration.name), { recursive: true });
        const tables = i === 0 ? [] : await tablesOf(sql);
        if (i > 0) await fill(sql, tables, filled);
        const before = await contents(sql, tables);
        // An earlier release's tables all hold something by now, so nothing can be lost unseen.
        for (const table of tables) expect(before[table]?.length, table).toBeGreaterThan(0);
        expect(await migrate(own, folder)).toEqual([migration.name]);
        const after = await contents(sql, await tablesOf(sql));
        expect(narrowed(after, before), migration.name).toEqual(before);
      }
      const times = filled.get("fault")?.times ?? 0;
      const [fault] = await sql<{ n: number }[]>`SELECT count(*)::int AS n FROM fault`;
      expect(fault?.n).toBe(FAULTS_AT.length * times);
      // Tables that grew a column later have a row of each shape that they had.
      expect([...filled.values()].filter((table) => table.times > 1).length).toBeGreaterThan(0);
    } finally {
      await sql.end();
      await admin.unsafe(`DROP DATABASE ${name} WITH (FORCE)`);
      await admin.end();
      rmSync(folder, { recursive: true, force: true });
    }
  });
});
