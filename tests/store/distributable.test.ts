import type postgres from "postgres";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { adminConnection } from "../support/admin-connection.ts";
import { useTestDatabase } from "../support/test-database.ts";

// Whether the tables could be spread over several machines by account, by the rules of engines that exist:
// - Citus, distributed tables (docs.citusdata.com, "Creating and Modifying Distributed Tables" and "Common Error Messages", from
//   memory): a primary key, unique or exclusion constraint holds the distribution column; a foreign key goes to a table that is
//   distributed by the same column and holds that column in the same place, or to a reference table; a reference table has no
//   foreign key to a distributed one.
// - PostgreSQL's own partitioning by hash (documentation of CREATE TABLE, "PARTITION BY", section 5.12.2.3 "Limitations"): a primary
//   key or unique constraint holds every column of the partition key; asked here of the server itself.
const COLUMN = "account_id";

/** Small, the same for all accounts, read by nobody's account: a copy on each machine (a reference table), or left on one. */
const NOT_DISTRIBUTED: Record<string, string> = {
  _prisma_migrations: "which migrations were applied",
  account_directory: "which accounts there are",
  sign_in_challenge: "of minutes, before anybody is known",
  sign_in_rate: "of minutes, by network address",
  sign_in_lock: "of minutes, by hash of an address",
};
/** Held by the first migration as something that all accounts share: unique over them. Each needs its reason. */
const SIGN_IN =
  "signing in begins before the account is known; few rows a person, kept on one machine as a local table";
const LOCAL: Record<string, string> = {
  sign_in_user: SIGN_IN,
  sign_in_session: SIGN_IN,
  sign_in_proof: SIGN_IN,
  sign_in_passkey: SIGN_IN,
  person_link: SIGN_IN,
  api_token: SIGN_IN,
};

interface Constraint {
  table: string;
  name: string;
  kind: "p" | "u" | "f" | "x";
  columns: string[];
  to: string | null;
  toColumns: string[] | null;
}

const database = useTestDatabase();
let admin: postgres.Sql;
let tables: string[] = [];
let constraints: Constraint[] = [];
let uniqueIndexes: { table: string; name: string; columns: string[] }[] = [];
beforeAll(async () => {
  admin = adminConnection(database());
  tables = (
    await admin<{ t: string }[]>`
      SELECT c.relname AS t FROM pg_class c WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND NOT c.relispartition ORDER BY 1`
  ).map((row) => row.t);
  constraints = await admin<Constraint[]>`
    SELECT c.relname AS "table", k.conname AS name, k.contype AS kind,
      ARRAY(SELECT a.attname::text FROM unnest(k.conkey) WITH ORDINALITY u(n, i) JOIN pg_attribute a ON a.attrelid = k.conrelid AND a.attnum = u.n ORDER BY i) AS columns,
      f.relname AS "to",
      CASE WHEN k.confrelid <> 0 THEN ARRAY(SELECT a.attname::text FROM unnest(k.confkey) WITH ORDINALITY u(n, i) JOIN pg_attribute a ON a.attrelid = k.confrelid AND a.attnum = u.n ORDER BY i) END AS "toColumns"
    FROM pg_constraint k JOIN pg_class c ON c.oid = k.conrelid LEFT JOIN pg_class f ON f.oid = k.confrelid
    WHERE c.relnamespace = 'public'::regnamespace AND NOT c.relispartition AND k.contype IN ('p', 'u', 'f', 'x')`;
  uniqueIndexes = await admin`
    SELECT c.relname AS "table", i.relname AS name,
      ARRAY(SELECT a.attname::text FROM unnest(x.indkey) u(n) JOIN pg_attribute a ON a.attrelid = x.indrelid AND a.attnum = u.n) AS columns
    FROM pg_index x JOIN pg_class i ON i.oid = x.indexrelid JOIN pg_class c ON c.oid = x.indrelid
    WHERE x.indisunique AND c.relnamespace = 'public'::regnamespace AND NOT c.relispartition`;
});
afterAll(() => admin.end());

const isDistributed = (table: string) => !(table in NOT_DISTRIBUTED) && !(table in LOCAL) && table !== "account";

describe("every table with an account can be distributed by it", () => {
  test("each has the column, and the exceptions are few, small and named", async () => {
    const without: string[] = [];
    for (const table of tables) {
      const [column] =
        await admin`SELECT 1 FROM information_schema.columns WHERE table_schema = 'public' AND table_name = ${table}
        AND column_name = ${COLUMN} AND is_nullable = 'NO'`;
      if (!column) without.push(table);
    }
    expect(without.sort()).toEqual(
      Object.keys(NOT_DISTRIBUTED)
        .filter((table) => tables.includes(table) && without.includes(table))
        .sort(),
    );
    expect(tables.filter(isDistributed).length).toBeGreaterThan(40);
  });

  test("its primary key begins with it, and whatever else is unique holds it", () => {
    for (const table of tables.filter(isDistributed)) {
      const key = constraints.find((one) => one.table === table && one.kind === "p");
      expect(key?.columns[0], `primary key of ${table}`).toBe(COLUMN);
    }
    const wrong = [...constraints.filter((one) => ["u", "x"].includes(one.kind)), ...uniqueIndexes]
      .filter(({ table, columns }) => isDistributed(table) && !columns.includes(COLUMN))
      .map(({ table, name }) => `${table}: ${name}`);
    expect(wrong).toEqual([]);
  });

  test("its foreign keys stay within the account, at the same place on both sides, or go to the table of accounts", () => {
    const wrong = constraints
      .filter(({ kind, table }) => kind === "f" && isDistributed(table))
      .filter(({ columns, to, toColumns }) => {
        if (to === "account") return columns.length !== 1 || columns[0] !== COLUMN;
        if (to === null || to in NOT_DISTRIBUTED || to in LOCAL) return true;
        const at = columns.indexOf(COLUMN);
        return at < 0 || toColumns?.[at] !== COLUMN;
      });
    expect(wrong.map(({ table, name, to }) => `${table} to ${to}: ${name}`)).toEqual([]);
    // A reference table must not hang on a distributed one.
    const back = constraints.filter(
      ({ kind, table, to }) =>
        kind === "f" && (table === "account" || table in NOT_DISTRIBUTED) && to !== null && isDistributed(to),
    );
    expect(back.map(({ table, name }) => `${table}: ${name}`)).toEqual([]);
  });

  test("PostgreSQL itself takes each one's keys and foreign keys on a table that is partitioned by hash of the account", async () => {
    const wanted = tables.filter((table) => isDistributed(table));
    await admin.begin(async (tx) => {
      await tx`CREATE SCHEMA hashed`;
      await tx`CREATE TABLE hashed.account (LIKE public.account INCLUDING ALL)`;
      for (const table of wanted) {
        // Partitions of the faults' own (by month) would lie below those by hash.
        await tx.unsafe(`CREATE TABLE hashed."${table}" (LIKE public."${table}" INCLUDING DEFAULTS INCLUDING CONSTRAINTS INCLUDING GENERATED)
          PARTITION BY HASH (${COLUMN})`);
        for (let i = 0; i < 2; i++)
          await tx.unsafe(
            `CREATE TABLE hashed."${table}_${i}" PARTITION OF hashed."${table}" FOR VALUES WITH (MODULUS 2, REMAINDER ${i})`,
          );
      }
      const list = (columns: string[]) => columns.map((column) => `"${column}"`).join(", ");
      const own = constraints.filter(({ table, kind }) => wanted.includes(table) && kind !== "f");
      for (const { table, kind, columns } of own)
        await tx.unsafe(
          `ALTER TABLE hashed."${table}" ADD ${kind === "p" ? "PRIMARY KEY" : "UNIQUE"} (${list(columns)})`,
        );
      for (const { table, columns, to, toColumns } of constraints.filter(
        (one) => wanted.includes(one.table) && one.kind === "f",
      ))
        await tx.unsafe(
          `ALTER TABLE hashed."${table}" ADD FOREIGN KEY (${list(columns)}) REFERENCES hashed."${to}" (${list(toColumns ?? [])})`,
        );
      const [count] = await tx<{ n: number }[]>`
        SELECT count(*)::int AS n FROM pg_partitioned_table p JOIN pg_class c ON c.oid = p.partrelid WHERE c.relnamespace = 'hashed'::regnamespace AND p.partstrat = 'h'`;
      expect(count?.n).toBe(wanted.length);
      await tx`DROP SCHEMA hashed CASCADE`;
    });
  });
});
