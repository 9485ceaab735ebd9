import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Actor, LOCAL_ACTOR, systemActor } from "../../lib/store/actor.ts";
import { readTransaction, type Sql, systemTransaction, writeTransaction } from "../../lib/store/transaction.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();
const OWNER: Actor = { accountId: 1, person: "o", role: "owner", portfolios: [] };
const TECHNICIAN: Actor = { accountId: 1, person: "t", role: "technician", crewId: "C-own" };
let data = "";
let book = "";
let all: { site_id: string; portfolio: string }[] = [];

beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-scope-"));
  process.env.RAINTRIP_DATA = data;
  await writeDemoDrop(path.join(data, "drop"), { seed: "demo", sites: 8, days: 40, endDay: "2026-10-31" });
  await importPaths(LOCAL_ACTOR, [path.join(data, "drop")]);
  all = await sitesOf(LOCAL_ACTOR);
  book = all[0]?.portfolio ?? "";
  await systemTransaction(LOCAL_ACTOR, async (tx) => {
    await tx`DELETE FROM visit`;
    await tx`INSERT INTO visit (account_id, visit_id, site_id, crew_id) VALUES
      (1, 'own', ${all[1]?.site_id as string}, 'C-own'), (1, 'other', ${all[2]?.site_id as string}, 'C-other'),
      (1, 'nobody', ${all[3]?.site_id as string}, NULL)`;
  });
});
afterAll(() => rmSync(data, { recursive: true, force: true }));

const sitesOf = (actor: Actor) =>
  readTransaction(actor, async (tx) => [
    ...(await tx<{ site_id: string; portfolio: string }[]>`SELECT site_id, portfolio FROM site ORDER BY 1`),
  ]);
const tablesWithSites = () =>
  readTransaction(systemActor(1), async (tx) =>
    (
      await tx<{ t: string }[]>`
        SELECT c.relname AS t FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid AND a.attname = 'site_id'
        WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND NOT c.relispartition ORDER BY 1`
    ).map((row) => row.t),
  );
const siteIdsIn = (tx: Sql, table: string) =>
  tx.unsafe<{ site_id: string }[]>(`SELECT DISTINCT site_id FROM "${table}" ORDER BY 1`);

describe("what row security shows of the sites", () => {
  test("an owner gets the sites of their books and nothing of any other, table by table", async () => {
    const own = all.filter((s) => s.portfolio === book).map((s) => s.site_id);
    expect(own.length).toBeGreaterThan(0);
    expect(own.length).toBeLessThan(all.length);
    const owner = { ...OWNER, portfolios: [book] };
    let seen = 0;
    for (const table of await tablesWithSites()) {
      const ids = (await readTransaction(owner, (tx) => siteIdsIn(tx, table))).map((row) => row.site_id);
      const whole = (await readTransaction(systemActor(1), (tx) => siteIdsIn(tx, table))).map((row) => row.site_id);
      expect(ids, table).toEqual(whole.filter((id) => own.includes(id)));
      seen += ids.length;
    }
    expect(seen).toBeGreaterThan(10);
    expect(await readTransaction(owner, (tx) => tx`SELECT portfolio FROM portfolio`)).toEqual([{ portfolio: book }]);
  });

  test("a technician gets the visits of their crew, and the sites of those", async () => {
    const own = all[1]?.site_id;
    for (const table of await tablesWithSites()) {
      const ids = (await readTransaction(TECHNICIAN, (tx) => siteIdsIn(tx, table))).map((row) => row.site_id);
      expect(
        ids.filter((id) => id !== own),
        table,
      ).toEqual([]);
    }
    expect((await sitesOf(TECHNICIAN)).map((s) => s.site_id)).toEqual([own]);
    expect(await readTransaction(TECHNICIAN, (tx) => tx`SELECT visit_id FROM visit`)).toEqual([{ visit_id: "own" }]);
  });

  test("a shared link shows its one site, or its one book, and changes nothing", async () => {
    const link: Actor = { accountId: 1, person: "link/x", role: "link" };
    const one = all[2]?.site_id as string;
    const ids = async (actor: Actor) => (await sitesOf(actor)).map((s) => s.site_id);
    expect(await ids({ ...link, siteId: one })).toEqual([one]);
    expect(await ids({ ...link, portfolios: [book] })).toEqual(
      all.filter((s) => s.portfolio === book).map((s) => s.site_id),
    );
    expect(await ids(link)).toEqual([]);
    expect(await ids({ ...OWNER, siteId: one })).toEqual([]);
    const seen = await readTransaction({ ...link, siteId: one }, (tx) => siteIdsIn(tx, "inverter"));
    expect(seen.map((row) => row.site_id)).toEqual([one]);
    const rename = systemTransaction({ ...link, siteId: one }, (tx) => tx`UPDATE site SET name = 'x'`);
    await expect(rename).rejects.toThrow(/row-level/);
  });

  test("without books, without a crew, with an unknown role or none there is nothing to see", async () => {
    for (const actor of [
      OWNER,
      { ...OWNER, portfolios: null },
      { ...OWNER, portfolios: ["no such book"] },
      { ...TECHNICIAN, crewId: null },
      { ...TECHNICIAN, crewId: "" },
      { ...LOCAL_ACTOR, role: "" },
      { ...LOCAL_ACTOR, role: "sign_in" },
      { ...LOCAL_ACTOR, role: "token", portfolios: [] },
      { ...LOCAL_ACTOR, role: "Administrator" },
    ])
      expect(await sitesOf(actor), JSON.stringify(actor)).toEqual([]);
    expect(await sitesOf({ ...LOCAL_ACTOR, role: "token" })).toHaveLength(all.length);
  });

  test("the pool that looks up who asks sees no record of the fleet", async () => {
    const { signIn } = database();
    for (const table of ["site", "score", "standing", "visit", "inspection", "account", "audit_entry", "import_drop"]) {
      const { rows } = await signIn.query(`SELECT count(*)::int AS n FROM ${table}`);
      expect(rows, table).toEqual([{ n: 0 }]);
    }
  });

  test("every table with sites is held to them, and every other one to those who may write", async () => {
    const { sql } = database();
    const loose = await sql<{ t: string }[]>`
      SELECT c.relname AS t FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid AND a.attname = 'account_id'
      WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND NOT c.relispartition
        AND c.relname NOT LIKE 'sign_in_%' AND c.relname NOT IN ('account', 'person_link', 'api_token')
        AND NOT EXISTS (SELECT 1 FROM pg_policy p WHERE p.polrelid = c.oid AND NOT p.polpermissive AND p.polname = 'own_scope')`;
    expect(
      loose.map((row) => row.t),
      "settle_scopes() is run after each migration",
    ).toEqual([]);
    const unheld = await sql<{ t: string }[]>`
      SELECT c.relname AS t FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid AND a.attname = 'site_id'
      JOIN pg_policy p ON p.polrelid = c.oid AND p.polname = 'own_scope'
      WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND NOT c.relispartition
        AND pg_get_expr(p.polqual, p.polrelid) NOT LIKE '%sites_in_scope%' AND c.relname NOT IN ('site', 'visit')`;
    expect(
      unheld.map((row) => row.t),
      "scope_by_site is for these",
    ).toEqual([]);
  });
});

describe("what row security lets be written", () => {
  const attempt = (actor: Actor, work: (tx: Sql) => Promise<{ count: number }>) =>
    writeTransaction(actor, async (tx) => ({ result: (await work(tx)).count, note: null }));

  test("an owner writes nothing, not even at their own sites", async () => {
    const owner = { ...OWNER, portfolios: [book] };
    const own = all.find((s) => s.portfolio === book)?.site_id as string;
    await expect(attempt(owner, (tx) => tx`UPDATE site SET name = 'x' WHERE site_id = ${own}`)).rejects.toThrow(
      /row-level/,
    );
    expect(await attempt(owner, (tx) => tx`DELETE FROM site WHERE site_id = ${own}`)).toBe(0);
    await expect(
      attempt(
        owner,
        (tx) => tx`INSERT INTO repair (account_id, site_id, repaired_at, repaired_day_only, cause)
        VALUES (1, ${own}, now(), false, 'x')`,
      ),
    ).rejects.toThrow(/row-level/);
    await expect(attempt(owner, (tx) => tx`UPDATE crew SET name = 'x'`)).rejects.toThrow(/row-level/);
    expect(await attempt(owner, (tx) => tx`DELETE FROM crew`)).toBe(0);
    expect(await attempt(owner, (tx) => tx`UPDATE account SET name = 'x'`)).toBe(0);
    await expect(attempt(owner, (tx) => tx`INSERT INTO portfolio VALUES (1, 'mine')`)).rejects.toThrow(/row-level/);
  });

  test("a technician writes at the sites of their visits only", async () => {
    const note = (siteId: string, cause: string) =>
      attempt(
        TECHNICIAN,
        (tx) => tx`INSERT INTO repair (account_id, site_id, repaired_at, repaired_day_only, cause)
        VALUES (1, ${siteId}, now(), false, ${cause})`,
      );
    expect(await note(all[1]?.site_id as string, "own")).toBe(1);
    await expect(note(all[2]?.site_id as string, "other")).rejects.toThrow(/row-level/);
    const visitAt = (siteId: string) =>
      attempt(
        TECHNICIAN,
        (tx) => tx`INSERT INTO visit (account_id, visit_id, site_id, crew_id)
        VALUES (1, ${`of ${siteId}`}, ${siteId}, 'C-own')`,
      );
    await expect(visitAt(all[2]?.site_id as string)).rejects.toThrow(/row-level/);
    expect(await visitAt(all[1]?.site_id as string)).toBe(1);
    expect(await attempt(TECHNICIAN, (tx) => tx`UPDATE visit SET crew_id = 'C-own' WHERE visit_id = 'other'`)).toBe(0);
  });

  test("nobody makes themselves more than they are: people are an administrator's", async () => {
    for (const role of ["manager", "dispatcher", "owner", "technician", "token"]) {
      const actor: Actor = { ...LOCAL_ACTOR, person: "local", role };
      const raised = attempt(actor, (tx) => tx`UPDATE person SET role = 'administrator' WHERE person_id = 'local'`);
      await expect(raised, role).rejects.toThrow(/row-level/);
      expect(await readTransaction({ ...actor, person: "x" }, (tx) => tx`SELECT 1 FROM person`), role).toHaveLength(0);
      expect(await readTransaction(actor, (tx) => tx`SELECT 1 FROM api_token`), role).toHaveLength(0);
    }
  });

  test("the secrets of signing in are read by the pool that needs them and by a backup, by no person", async () => {
    for (const role of ["administrator", "manager", "owner"])
      for (const table of ["sign_in_proof", "sign_in_passkey", "sign_in_challenge", "sign_in_lock"])
        expect(
          await readTransaction({ ...LOCAL_ACTOR, role }, (tx) => tx.unsafe(`SELECT 1 FROM ${table}`)),
        ).toHaveLength(0);
  });
});

describe("the audit log", () => {
  test("is out of reach of an administrator: no insert, no change, no delete, no disabling of what guards it", async () => {
    const attempts = [
      "INSERT INTO audit_entry VALUES (1, 99999, now(), 'x', 'x', 'x', 'x', '{}', '', '')",
      "UPDATE audit_entry SET person = 'nobody'",
      "DELETE FROM audit_entry",
      "TRUNCATE audit_entry",
      "ALTER TABLE audit_entry DISABLE TRIGGER ALL",
      "DROP POLICY own_scope ON audit_entry",
    ];
    for (const text of attempts)
      await expect(
        systemTransaction(LOCAL_ACTOR, (tx) => tx.unsafe(text)),
        text,
      ).rejects.toThrow(/permission denied|must be owner/);
  });

  test("is read by administrators and managers, and written for everybody, one chain", async () => {
    const note = { action: "test.view", subject: "x" };
    for (const actor of [{ ...OWNER, portfolios: [book] }, TECHNICIAN]) {
      await writeTransaction(actor, async () => ({ result: null, note }));
      expect(await readTransaction(actor, (tx) => tx`SELECT 1 FROM audit_entry`)).toHaveLength(0);
    }
    const rows = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<{ seq: string; person: string }[]>`
      SELECT seq, person FROM audit_entry ORDER BY seq DESC LIMIT 2`,
    );
    expect(rows.map((row) => row.person)).toEqual(["t", "o"]);
    expect(Number(rows[0]?.seq) - Number(rows[1]?.seq)).toBe(1);
  });
});
