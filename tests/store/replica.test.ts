import postgres from "postgres";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { LOCAL_ACTOR, systemActor } from "../../lib/store/actor.ts";
import { closeDatabase, type Database, openDatabase } from "../../lib/store/database.ts";
import type { DatabaseAddress } from "../../lib/store/embedded.ts";
import { migrate } from "../../lib/store/migrate.ts";
import { readMayLag, readTransaction, systemTransaction } from "../../lib/store/transaction.ts";
import { freePort } from "../support/free-port.mjs";
import { canReplicate, startReplica } from "../support/replica.ts";
import { startSystemPostgres } from "../support/system-postgres.mjs";

// The system's own PostgreSQL and a standby of it that streams; left out by name where there is none.
describe.skipIf(!canReplicate())("with a streaming replica", () => {
  let primary: NonNullable<Awaited<ReturnType<typeof startSystemPostgres>>>;
  let replica: Awaited<ReturnType<typeof startReplica>>;
  let db: Database;
  let standby: postgres.Sql;
  beforeAll(async () => {
    const started = await startSystemPostgres();
    if (!started) throw new Error("the system's PostgreSQL did not start");
    primary = started;
    const address: DatabaseAddress = {
      ownerUrl: primary.url,
      appUrl: primary.url,
      bootstrapUrl: null,
      embedded: false,
    };
    await migrate(address);
    replica = await startReplica(primary.url, await freePort());
    db = openDatabase({ ...address, replicaUrl: replica.url });
    standby = postgres(replica.url, { max: 1, onnotice: () => {} });
  });
  afterAll(async () => {
    await standby?.end({ timeout: 1 });
    await closeDatabase(db);
    await replica?.stop();
    await primary?.stop();
  });

  const addCrew = (id: string, accountId = 1) =>
    systemTransaction(
      systemActor(accountId),
      (
        tx,
      ) => tx`INSERT INTO crew (account_id, crew_id, name, base_latitude, base_longitude, shift_start, shift_end, time_zone)
        VALUES (${accountId}, ${id}, ${id}, 0, 0, '07:00', '15:00', 'UTC')`,
      db,
    );
  const crews = async (read: typeof readMayLag) =>
    read(
      LOCAL_ACTOR,
      async (tx) => ({
        ids: (await tx<{ crew_id: string }[]>`SELECT crew_id FROM crew ORDER BY 1`).map((row) => row.crew_id),
        onReplica: (await tx<{ on: boolean }[]>`SELECT pg_is_in_recovery() AS on`)[0]?.on,
      }),
      db,
    );
  /** Until the standby holds everything that was written so far. */
  const caughtUp = async () => {
    const [at] = await db.sql<{ lsn: string }[]>`SELECT pg_current_wal_lsn()::text AS lsn`;
    for (;;) {
      const [row] = await standby<
        { there: boolean }[]
      >`SELECT pg_last_wal_replay_lsn() >= ${at?.lsn ?? ""}::pg_lsn AS there`;
      if (row?.there) return;
    }
  };

  test("reads that may lag go there, under row security, and others to the database itself", async () => {
    const owner = postgres(primary.url, { max: 1, onnotice: () => {} });
    await owner`INSERT INTO account (account_id, name) VALUES (2, 'Second')`;
    await owner.end();
    await addCrew("first");
    await addCrew("of another account", 2);
    await caughtUp();
    expect(await crews(readMayLag)).toEqual({ ids: ["first"], onReplica: true });
    expect(await crews(readTransaction)).toEqual({ ids: ["first"], onReplica: false });
    const [who] = await (db.replica as postgres.Sql)<{ who: string; bypass: boolean }[]>`
      SELECT current_user AS who, rolbypassrls OR rolsuper AS bypass FROM pg_roles WHERE rolname = current_user`;
    expect(who).toEqual({ who: "raintrip_app", bypass: false });
  });

  test("while it lags, only reads that may do show the older state", async () => {
    await caughtUp();
    await standby`SELECT pg_wal_replay_pause()`;
    await addCrew("second");
    expect((await crews(readMayLag)).ids).toEqual(["first"]);
    expect((await crews(readTransaction)).ids).toEqual(["first", "second"]);
    await standby`SELECT pg_wal_replay_resume()`;
    await caughtUp();
    expect(await crews(readMayLag)).toEqual({ ids: ["first", "second"], onReplica: true });
  });

  test("when it is away, those reads are answered by the database itself, and a fault of the read's own is no reason to ask twice", async () => {
    await replica.stop();
    expect(await crews(readMayLag)).toEqual({ ids: ["first", "second"], onReplica: false });
    await expect(readMayLag(LOCAL_ACTOR, (tx) => tx`SELECT 1 / 0`, db)).rejects.toThrow(/division by zero/);
  });
});
