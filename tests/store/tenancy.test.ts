import postgres from "postgres";
import { describe, expect, test } from "vitest";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction, writeTransaction } from "../../lib/store/transaction.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();
const OTHER = { accountId: 2, person: "other", role: "administrator" };

async function addCrew(actor: typeof LOCAL_ACTOR, crewId: string) {
  return writeTransaction(actor, async (tx) => {
    await tx`INSERT INTO crew (account_id, crew_id, name, base_latitude, base_longitude, shift_start, shift_end, time_zone)
      VALUES (current_account(), ${crewId}, 'Crew', 40, -90, '07:00', '15:00', 'America/Chicago')`;
    return { result: null, note: { action: "crew.save", subject: crewId } };
  });
}

describe("row-level security", () => {
  test("a transaction sees no row of another account, and none at all without an account", async () => {
    const owner = postgres(database().address.ownerUrl, { max: 1 });
    await owner.begin(async (tx) => {
      await tx`SELECT set_config('raintrip.account', '2', true)`;
      await tx`INSERT INTO account (account_id, name) VALUES (2, 'Second account')`;
    });
    await owner.end();
    await addCrew(LOCAL_ACTOR, "mine");
    await addCrew(OTHER, "theirs");
    const mine = await readTransaction(LOCAL_ACTOR, (tx) => tx`SELECT crew_id FROM crew`);
    expect(mine.map((r) => r.crew_id)).toEqual(["mine"]);
    expect(await database().sql`SELECT crew_id FROM crew`).toHaveLength(0);
  });

  test("a row of another account cannot be written", async () => {
    await expect(
      writeTransaction(LOCAL_ACTOR, async (tx) => {
        await tx`INSERT INTO person (account_id, person_id, name, role) VALUES (2, 'x', 'x', 'x')`;
        return { result: null, note: null };
      }),
    ).rejects.toThrow(/row-level security/);
  });

  test("every table with an account forces row security, and the application role cannot bypass it", async () => {
    const sql = database().sql;
    const open = await sql`
      SELECT c.relname FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid AND a.attname = 'account_id'
      WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND NOT c.relispartition
        AND NOT (c.relrowsecurity AND c.relforcerowsecurity)`;
    expect(open.map((r) => r.relname)).toEqual([]);
    const [role] = await sql`SELECT rolsuper, rolbypassrls FROM pg_roles WHERE rolname = current_user`;
    expect(role).toEqual({ rolsuper: false, rolbypassrls: false });
  });
});

describe("audit log", () => {
  test("each write appends one entry whose hash covers the one before", async () => {
    await addCrew(LOCAL_ACTOR, "a");
    await addCrew(LOCAL_ACTOR, "b");
    const rows = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx`SELECT subject, encode(hash, 'hex') AS hash, encode(previous_hash, 'hex') AS previous,
        hash = audit_hash(previous_hash, account_id, seq, at, person, role, action, subject, detail) AS holds
        FROM audit_entry ORDER BY seq`,
    );
    expect(rows.length).toBeGreaterThanOrEqual(3);
    for (const [i, row] of rows.entries()) {
      expect(row.holds).toBe(true);
      expect(row.previous).toBe(i === 0 ? "" : rows[i - 1]?.hash);
    }
  });

  test("nobody rewrites it: the application may not insert, and not even the owner may change or empty it", async () => {
    await expect(
      writeTransaction(LOCAL_ACTOR, async (tx) => {
        await tx`INSERT INTO audit_entry VALUES (1, 99, now(), 'x', 'x', 'x', 'x', '{}', '', '')`;
        return { result: null, note: null };
      }),
    ).rejects.toThrow(/permission denied/);
    const owner = postgres(database().address.ownerUrl, { max: 1 });
    await expect(
      owner.begin(async (tx) => {
        await tx`SELECT set_config('raintrip.account', '1', true), set_config('raintrip.role', 'administrator', true)`;
        await tx`UPDATE audit_entry SET person = 'nobody'`;
      }),
    ).rejects.toThrow(/append-only/);
    await expect(owner`TRUNCATE audit_entry`).rejects.toThrow(/append-only/);
    await owner.end();
  });

  test("a failed write leaves neither the change nor an entry", async () => {
    const count = () => readTransaction(LOCAL_ACTOR, (tx) => tx`SELECT count(*)::int AS n FROM audit_entry`);
    const before = await count();
    await expect(addCrew(LOCAL_ACTOR, "a")).rejects.toThrow(/duplicate key/);
    expect(await count()).toEqual(before);
  });
});
