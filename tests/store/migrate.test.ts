import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import postgres from "postgres";
import { describe, expect, inject, test } from "vitest";
import { migrate, migrationFiles } from "../../lib/store/migrate.ts";
import { renamed } from "../support/renamed.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();

describe("migrate", () => {
  test("applies nothing twice, and records each migration as Prisma does", async () => {
    expect(await migrate(database().address)).toEqual([]);
    const owner = postgres(database().address.ownerUrl, { max: 1 });
    const rows =
      await owner`SELECT migration_name, checksum, finished_at IS NOT NULL AS finished, applied_steps_count FROM _prisma_migrations ORDER BY 1`;
    await owner.end();
    expect(rows.map((r) => ({ ...r }))).toEqual(
      migrationFiles().map((m) => ({
        migration_name: m.name,
        checksum: m.checksum,
        finished: true,
        applied_steps_count: 1,
      })),
    );
  });

  test("several processes that start at once apply each migration once", async () => {
    const admin = postgres(inject("adminUrl"), { max: 1, onnotice: () => {} });
    const { address } = database();
    const name = "t_migrate_race";
    await admin.unsafe(`CREATE DATABASE ${name}${address.embedded ? " OWNER raintrip_owner" : ""}`);
    const fresh = { ...address, ownerUrl: renamed(address.ownerUrl, name), appUrl: renamed(address.appUrl, name) };
    const done = await Promise.all([migrate(fresh), migrate(fresh), migrate(fresh)]);
    expect(done.flat()).toEqual(migrationFiles().map((m) => m.name));
    await admin.unsafe(`DROP DATABASE ${name} WITH (FORCE)`);
    await admin.end();
  });

  test("a failing migration leaves nothing behind, and a changed or unknown one is refused with what to do", async () => {
    const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-migrations-"));
    const add = (name: string, sql: string) => {
      mkdirSync(path.join(folder, name), { recursive: true });
      writeFileSync(path.join(folder, name, "migration.sql"), sql);
    };
    for (const m of migrationFiles()) add(m.name, m.sql);
    add("29990101000000_broken", "CREATE TABLE half_done (id int); SELECT no_such_function();");
    await expect(migrate(database().address, folder)).rejects.toThrow(/no_such_function/);
    const owner = postgres(database().address.ownerUrl, { max: 1 });
    expect(await owner`SELECT to_regclass('half_done') AS t`).toEqual([{ t: null }]);
    await owner.end();
    rmSync(path.join(folder, "29990101000000_broken"), { recursive: true });
    const first = migrationFiles()[0] as { name: string; sql: string };
    add(first.name, `${first.sql}\n-- edited`);
    await expect(migrate(database().address, folder)).rejects.toThrow(/was changed after this database applied it/);
    rmSync(path.join(folder, first.name), { recursive: true });
    await expect(migrate(database().address, folder)).rejects.toThrow(/newer than this program/);
    rmSync(folder, { recursive: true });
  });
});

/** `table.column` of every field of a Prisma schema, by its @map and @@map. */
function schemaColumns(schema: string): string[] {
  return [...schema.matchAll(/^model \w+ \{\n([\s\S]*?)^\}/gm)].flatMap(([, body = ""]) => {
    const table = /@@map\("(\w+)"\)/.exec(body)?.[1];
    const fields = body.split("\n").filter((line) => /^ {2}[a-z]/.test(line));
    return fields.map((line) => `${table}.${/@map\("(\w+)"\)/.exec(line)?.[1] ?? line.trim().split(/\s+/)[0]}`);
  });
}

/** Keys by which sign-in finds whose the request is; each is unique over all accounts, and small. */
const BEFORE_ANY_ACCOUNT = [
  ...[
    "sign_in_user_id_key",
    "sign_in_user_email_key",
    "sign_in_session_token_key",
    "sign_in_passkey_credential_id_key",
  ],
  ...["sign_in_proof_provider_id_subject_key", "person_link_token_hash_key", "api_token_token_hash_key"],
  ...["sign_in_challenge_pkey", "sign_in_rate_pkey", "sign_in_rate_key_key", "sign_in_lock_pkey"],
];

describe("prisma schema", () => {
  test("names exactly the tables and columns that the migrations make", async () => {
    const rows = await database().sql<{ t: string; c: string }[]>`
      SELECT c.relname AS t, a.attname AS c FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid
      WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND NOT c.relispartition
        AND a.attnum > 0 AND NOT a.attisdropped AND c.relname <> '_prisma_migrations'`;
    const inDatabase = rows.map((r) => `${r.t}.${r.c}`).sort();
    expect(schemaColumns(readFileSync("prisma/schema.prisma", "utf8")).sort()).toEqual(inDatabase);
  });

  test("every growing table starts its key with the account, and no unique or foreign key leaves it out", async () => {
    const loose = await database().sql`
      SELECT c.conrelid::regclass::text AS t, c.conname FROM pg_constraint c JOIN pg_class k ON k.oid = c.conrelid
      WHERE k.relnamespace = 'public'::regnamespace AND c.contype IN ('p', 'u', 'f') AND NOT k.relispartition
        AND k.relname NOT IN ('_prisma_migrations', 'account_directory')
        -- Who asks is looked up before any account is known.
        AND NOT (c.contype <> 'f' AND c.conname = ANY (${BEFORE_ANY_ACCOUNT}))
        AND (SELECT attname FROM pg_attribute WHERE attrelid = c.conrelid AND attnum = c.conkey[1]) <> 'account_id'`;
    expect(loose).toEqual([]);
  });
});
