import postgres from "postgres";
import type { Database } from "../../lib/store/database.ts";
import { adminConnection } from "./admin-connection.ts";

export interface WorkDone {
  /** Statements sent to the server, those that begin and end transactions left out. */
  statements: number;
  /** Rows and index entries that the server read for them by table, by its own statistics. */
  byTable: Record<string, number>;
}

const NAME = "raintrip-counted";

/** Do something on connections of its own and count what it asked of the server. */
export async function countedWork(database: Database, work: (db: Database) => Promise<unknown>): Promise<WorkDone> {
  const admin = adminConnection(database);
  const read = async () => {
    const rows = await admin<{ name: string; n: number }[]>`
      SELECT t.relname AS name, (t.seq_tup_read + coalesce(sum(i.idx_tup_read), 0))::float8 AS n
      FROM pg_stat_user_tables t LEFT JOIN pg_stat_user_indexes i USING (relid) GROUP BY t.relid, t.relname, t.seq_tup_read`;
    return new Map(rows.map((row) => [row.name, row.n]));
  };
  const settled = async () => {
    // A backend tells the statistics what it did at the latest when it ends.
    while (
      (
        await admin`SELECT FROM pg_stat_activity
          WHERE datname = current_database() AND pid <> pg_backend_pid() AND application_name = ${NAME}`
      ).length > 0
    );
    await admin`SELECT pg_stat_clear_snapshot()`;
    return read();
  };
  let statements = 0;
  const sql = postgres(database.address.appUrl, {
    max: 6,
    onnotice: () => {},
    // Tables of a test are so small that reading them whole may be cheapest; what is asked here is whether that is needed.
    connection: { application_name: NAME, TimeZone: "UTC", enable_seqscan: "off" } as object,
    debug: (_, query) => {
      // Types are asked for once a connection, which is no part of the work.
      if (!/^\s*(begin|commit|rollback)\b|pg_catalog\.pg_type/i.test(query)) statements++;
    },
  });
  const before = await settled();
  try {
    await work({ ...database, sql });
  } finally {
    await sql.end();
  }
  const after = await settled();
  await admin.end();
  const rowsRead = [...after].map(([table, n]) => [table, n - (before.get(table) ?? 0)] as const);
  return { statements, byTable: Object.fromEntries(rowsRead.filter(([, n]) => n > 0)) };
}
