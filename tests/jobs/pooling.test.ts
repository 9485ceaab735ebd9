import type postgres from "postgres";
import { afterAll, beforeAll, describe, expect, inject, test } from "vitest";
import { installQueue } from "../../lib/jobs/boss.ts";
import { holdingLock } from "../../lib/jobs/hold-lock.ts";
import { startWorker } from "../../lib/jobs/worker.ts";
import { readSystem } from "../../lib/reads/system.ts";
import { whoHasSession } from "../../lib/sign-in/who-asks.ts";
import { type Actor, LOCAL_ACTOR, systemActor } from "../../lib/store/actor.ts";
import { closeDatabase, type Database, openDatabase } from "../../lib/store/database.ts";
import { readRecords, readTransaction, systemTransaction } from "../../lib/store/transaction.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { handleSignIn } from "../../lib/writes/sign-in.ts";
import { adminConnection } from "../support/admin-connection.ts";
import { BASE_DROP, dropFolder } from "../support/drop-folder.ts";
import { findPgbouncer, startPgbouncer } from "../support/pgbouncer.ts";
import { cookieOf, fromBrowser, PASSWORD, peer, signedInAs } from "../support/signed-in.ts";
import { useTestDatabase } from "../support/test-database.ts";

// The pooler is PgBouncer, pool_mode = transaction, as Debian packages it; where it cannot be had, this is left out by name.
const program = findPgbouncer();
const SECRET = "a secret of the tests that is long enough for anybody";
process.env.RAINTRIP_SECRET = SECRET;
const CONNECTIONS = 3;
const WEB = "t_pooled_web";
const SIGN = "t_pooled_sign";

const direct = useTestDatabase();
const holder = globalThis as { raintripDatabase?: Promise<Database> | undefined };

describe.skipIf(program === null)("through a pooler in transaction mode", () => {
  let admin: postgres.Sql;
  let pooled: Database;
  let pooler: Awaited<ReturnType<typeof startPgbouncer>>;
  beforeAll(async () => {
    const { address } = direct();
    await installQueue(address);
    const server = new URL(inject("adminUrl"));
    admin = adminConnection(direct());
    // What README tells an operator to make.
    for (const role of [WEB, SIGN]) {
      await admin.unsafe(`DROP ROLE IF EXISTS ${role}`);
      await admin.unsafe(`CREATE ROLE ${role} LOGIN PASSWORD 'p' IN ROLE raintrip_app`);
    }
    await admin.unsafe(`ALTER ROLE ${SIGN} SET raintrip.role = 'sign_in'`);
    pooler = await startPgbouncer(program as string, {
      port: Number(server.port),
      logins: { [WEB]: "p", [SIGN]: "p" },
      connections: CONNECTIONS,
    });
    const by = (login: string) =>
      `postgresql://${login}:p@127.0.0.1:${pooler.port}${new URL(address.ownerUrl).pathname}`;
    pooled = openDatabase({ ...address, appUrl: by(WEB), pooledSignInUrl: by(SIGN) });
    holder.raintripDatabase = Promise.resolve(pooled);
  });
  afterAll(async () => {
    await closeDatabase(pooled);
    await pooler.stop();
    for (const role of [WEB, SIGN]) await admin.unsafe(`DROP ROLE IF EXISTS ${role}`);
    await admin.end();
    holder.raintripDatabase = undefined;
  });

  test("an import is stored and scored by a worker, and every connection is the pooler's", async () => {
    await importPaths(LOCAL_ACTOR, [dropFolder(BASE_DROP)]);
    const stop = await startWorker(pooled);
    for (let i = 0; i < 300 && (await readSystem(LOCAL_ACTOR)).scores.stale > 0; i++)
      await new Promise((resolve) => setTimeout(resolve, 100));
    const state = await readSystem(LOCAL_ACTOR);
    expect(state.scores).toMatchObject({ sites: 2, stale: 0 });
    expect(state.worker.running).toBe(true);
    await stop();
    const rows = await admin<{ usename: string; n: number }[]>`
      SELECT usename, count(*)::int AS n FROM pg_stat_activity WHERE datname = current_database() AND usename LIKE 't_pooled_%' GROUP BY 1`;
    expect(rows.length).toBeGreaterThan(0);
    for (const row of rows) expect(row.n, row.usename).toBeLessThanOrEqual(CONNECTIONS);
  });

  test("people sign in, and a session is known, while sign-in sees its own tables alone", async () => {
    const anna = await signedInAs("manager");
    const reply = await handleSignIn(
      fromBrowser("/api/auth/sign-in/email", { email: anna.email, password: PASSWORD }, peer()),
    );
    expect(reply.status).toBe(200);
    const cookie = decodeURIComponent((cookieOf(reply) as string).split("=").slice(1).join("="));
    for (let i = 0; i < 20; i++) expect((await whoHasSession(cookie, SECRET))?.actor.person).toBe(anna.actor.person);
    expect((await pooled.signIn.query("SELECT count(*)::int AS n FROM site")).rows[0].n).toBe(0);
    expect((await pooled.sql`SELECT count(*)::int AS n FROM sign_in_user`)[0]?.n).toBe(0);
  });

  test("of many transactions of two accounts on few connections each sees its own account, and none anything between them", async () => {
    await admin`INSERT INTO account (account_id, name) VALUES (2, 'Second')`;
    await systemTransaction(
      systemActor(2),
      (tx) => tx`
      INSERT INTO crew (account_id, crew_id, name, base_latitude, base_longitude, shift_start, shift_end, time_zone)
      VALUES (2, 'second', 'second', 0, 0, '07:00', '15:00', 'UTC')`,
    );
    await systemTransaction(
      systemActor(1),
      (tx) => tx`
      INSERT INTO crew (account_id, crew_id, name, base_latitude, base_longitude, shift_start, shift_end, time_zone)
      VALUES (1, 'first', 'first', 0, 0, '07:00', '15:00', 'UTC')`,
    );
    const second: Actor = { ...LOCAL_ACTOR, accountId: 2 };
    const crews = (actor: Actor) => readTransaction(actor, (tx) => tx<{ crew_id: string }[]>`SELECT crew_id FROM crew`);
    const asked = Array.from({ length: 200 }, async (_, i) => {
      const actor = i % 2 ? second : LOCAL_ACTOR;
      if (i % 5 === 4)
        return {
          i,
          saw: (await pooled.sql<{ crew_id: string }[]>`SELECT crew_id FROM crew`).map((row) => row.crew_id),
        };
      if (i % 5 === 3)
        return { i, saw: (await readRecords(actor, (prisma) => prisma.crew.findMany())).map((row) => row.crewId) };
      return { i, saw: (await crews(actor)).map((row) => row.crew_id) };
    });
    for (const { i, saw } of await Promise.all(asked))
      expect(saw, String(i)).toEqual(i % 5 === 4 ? [] : [i % 2 ? "second" : "first"]);
  });

  test("a job's lock keeps others out until the work has ended, also when it fails or its connection is cut", async () => {
    const order: string[] = [];
    let release = () => {};
    const first = holdingLock(pooled, "k", { waits: false }, async () => {
      order.push("first");
      await new Promise<void>((resolve) => {
        release = resolve;
      });
      return "done";
    });
    while (order.length === 0) await new Promise((resolve) => setTimeout(resolve, 5));
    expect(await holdingLock(pooled, "k", { waits: false }, async () => "never")).toBeNull();
    expect(await holdingLock(pooled, "other", { waits: false }, async () => "beside")).toBe("beside");
    release();
    expect(await first).toBe("done");
    await expect(
      holdingLock(pooled, "k", { waits: false }, async () => Promise.reject(new Error("broke"))),
    ).rejects.toThrow("broke");

    // Cut: it fails, but not before the work is over, so that the next one cannot run beside it.
    let ended = false;
    const cut = holdingLock(pooled, "k", { waits: true }, async () => {
      await admin`SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND usename = ${WEB}`;
      await new Promise((resolve) => setTimeout(resolve, 200));
      ended = true;
    });
    await expect(cut).rejects.toThrow();
    expect(ended).toBe(true);
    expect(await holdingLock(pooled, "k", { waits: true }, async () => "again")).toBe("again");
  });
});
