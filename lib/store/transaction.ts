import type postgres from "postgres";
import type { Actor } from "./actor.ts";
import { type Database, database } from "./database.ts";
import type { Prisma } from "./generated/client.ts";
import { passingTrouble } from "./passing-trouble.ts";

export type Sql = postgres.TransactionSql;

/** What a write leaves in the audit log, in the same transaction. */
export interface AuditNote {
  /** `noun.verb` */
  action: string;
  subject: string;
  detail?: Record<string, unknown>;
}

/** What the policies of row security read. An owner without books has the empty list, which matches none. */
function actorSettings(actor: Actor) {
  const held = actor.role === "owner" ? (actor.portfolios ?? []) : actor.portfolios;
  return {
    account: String(actor.accountId),
    portfolios: held ? JSON.stringify(held) : "",
    crew: actor.crewId ?? "",
    site: actor.siteId ?? "",
  };
}

async function setActor(tx: Sql, actor: Actor): Promise<void> {
  const { account, portfolios, crew, site } = actorSettings(actor);
  await tx`SELECT set_config('raintrip.account', ${account}, true),
                  set_config('raintrip.person', ${actor.person}, true),
                  set_config('raintrip.role', ${actor.role}, true),
                  set_config('raintrip.portfolios', ${portfolios}, true),
                  set_config('raintrip.crew', ${crew}, true),
                  set_config('raintrip.site', ${site}, true)`;
}

/** Read in one snapshot, seeing only the actor's account. */
export async function readTransaction<T>(actor: Actor, read: (tx: Sql) => Promise<T>, db?: Database): Promise<T> {
  const { sql } = db ?? (await database());
  return readOn(sql, actor, read);
}

async function readOn<T>(sql: Database["sql"], actor: Actor, read: (tx: Sql) => Promise<T>): Promise<T> {
  return (await sql.begin("read only isolation level repeatable read", async (tx) => {
    await setActor(tx, actor);
    return read(tx);
  })) as T;
}

/** A replica that is further behind says less than the database itself would after a short wait. */
const MOST_LAG_S = 30;

/**
 * A read that may lag: what it shows need not hold what the same person stored a moment ago. It goes to the replica where there
 * is one, and to the database itself when the replica is away, too far behind, or broke the read off to catch up.
 */
export async function readMayLag<T>(actor: Actor, read: (tx: Sql) => Promise<T>, db?: Database): Promise<T> {
  const { sql, replica } = db ?? (await database());
  if (replica === null) return readOn(sql, actor, read);
  try {
    return await readOn(replica, actor, async (tx) => {
      // With everything replayed there is no lag, however long ago the last change was.
      const [row] = await tx<{ lag_s: number }[]>`
        SELECT CASE WHEN NOT pg_is_in_recovery() OR pg_last_wal_receive_lsn() = pg_last_wal_replay_lsn() THEN 0
          ELSE coalesce(extract(epoch FROM clock_timestamp() - pg_last_xact_replay_timestamp()), 0) END::float8 AS lag_s`;
      if ((row?.lag_s ?? 0) > MOST_LAG_S) throw new LagsTooMuch();
      return read(tx);
    });
  } catch (error) {
    const code = (error as { code?: string }).code;
    // 40001: a conflict with recovery; 42P01, 42703: a migration that has not arrived there yet.
    if (!(error instanceof LagsTooMuch || passingTrouble(error) !== null || code === "42P01" || code === "42703"))
      throw error;
    return readOn(sql, actor, read);
  }
}

class LagsTooMuch extends Error {}

/**
 * Write as an actor: the change and its audit entry stand or fall together.
 * @param write returns its result and the note to log; a null note means that nothing was changed
 */
export async function writeTransaction<T>(
  actor: Actor,
  write: (tx: Sql) => Promise<{ result: T; note: AuditNote | null }>,
  db?: Database,
): Promise<T> {
  const { sql } = db ?? (await database());
  return (await sql.begin(async (tx) => {
    await setActor(tx, actor);
    const { result, note } = await write(tx);
    if (note) await tx`SELECT audit_append(${note.action}, ${note.subject}, ${tx.json((note.detail ?? {}) as never)})`;
    return result;
  })) as T;
}

/**
 * Bookkeeping that is no decision of anybody's (progress of an import, a recomputed score): the account is set,
 * nothing is logged, because its cause was.
 */
export async function systemTransaction<T>(actor: Actor, write: (tx: Sql) => Promise<T>, db?: Database): Promise<T> {
  return writeTransaction(actor, async (tx) => ({ result: await write(tx), note: null }), db);
}

/** Under load a read waits for a connection like every other does, instead of failing after Prisma's own two seconds. */
const PATIENCE = { maxWait: 30_000, timeout: 60_000 };

/** Record reads through Prisma, in a transaction that sees only the actor's account. */
export async function readRecords<T>(
  actor: Actor,
  read: (prisma: Prisma.TransactionClient) => Promise<T>,
  db?: Database,
): Promise<T> {
  const { prisma } = db ?? (await database());
  return prisma.$transaction(async (tx) => {
    const { account, portfolios, crew, site } = actorSettings(actor);
    await tx.$executeRaw`SELECT set_config('raintrip.account', ${account}, true), set_config('raintrip.person', ${actor.person}, true),
      set_config('raintrip.role', ${actor.role}, true), set_config('raintrip.portfolios', ${portfolios}, true),
      set_config('raintrip.crew', ${crew}, true), set_config('raintrip.site', ${site}, true)`;
    return read(tx);
  }, PATIENCE);
}
