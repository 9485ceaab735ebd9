import type { FileSpec } from "../contract/file-spec.ts";
import type { RowParser } from "../contract/row-parser.ts";
import type { Sql } from "../store/transaction.ts";
import type { InverterReach, LogReach } from "./log-reach.ts";
import { extendLogs, reachTo } from "./merge.ts";
import { STAGING } from "./stage.ts";

/** Rows of a log that are not all new: they have to be merged with what is stored. */
export class NotAllNew extends Error {}

const UNIQUE_VIOLATION = "23505";
const LOCK_NOT_AVAILABLE = "55P03";

/** Whether rows of a log turned out to be such that only a merge can store them. */
export function needsMerge(error: unknown): boolean {
  const code = (error as { code?: string } | null)?.code;
  // Another import stored the same rows meanwhile; or somebody holds the months that had to be made.
  return error instanceof NotAllNew || code === UNIQUE_VIOLATION || code === LOCK_NOT_AVAILABLE;
}

const quoted = (name: string) => `"${name}"`;
const times = (of: readonly InverterReach[], key: "first" | "last" | "end") =>
  of.map((i) => new Date(i[key]).toISOString());

/**
 * Stores rows of a log that lie before or after all that is stored of their inverter, as new rows of a log do, while the file
 * is still being read: nothing is stored that they could meet, so that each chunk is inserted as it comes, and plain inserts
 * cost half as much as a merge. All of it is part of the caller's transaction.
 */
export class LogAppend {
  accepted = 0;
  readonly #stored = new Map<InverterReach, { first: number; last: number }>();
  readonly #insert: string;
  readonly #tx: Sql;
  readonly #spec: FileSpec;
  readonly #reach: LogReach;
  readonly #makeMonths: (months: readonly string[]) => Promise<void>;

  constructor(
    tx: Sql,
    log: {
      spec: FileSpec;
      columns: RowParser["columns"];
      reach: LogReach;
      /** Makes partitions for months, beside the transaction. */
      makeMonths: (months: readonly string[]) => Promise<void>;
    },
  ) {
    this.#tx = tx;
    this.#spec = log.spec;
    this.#reach = log.reach;
    this.#makeMonths = log.makeMonths;
    const names = log.columns.map((c) => quoted(c.name)).join(", ");
    this.#insert = `INSERT INTO ${log.spec.table} (account_id, ${names}) SELECT (SELECT current_account()), ${names} FROM ${STAGING}`;
  }

  /**
   * Store a chunk of rows, whose reach is known, and leave the staging table empty.
   * @param stage brings them into the staging table
   * @throws NotAllNew where some of it might meet a stored row; `needsMerge` tells that and its like
   */
  async chunk(stage: () => Promise<void>): Promise<void> {
    const { inverters, months } = this.#reach.takeNew();
    // What needs no answer of the server's goes to it at once: each turn would wait for the rows that are being read meanwhile.
    await Promise.all([this.#askStored(inverters), stage()]);
    for (const [own, stored] of this.#stored)
      if (own.first <= stored.last && own.last >= stored.first) throw new NotAllNew();
    if (this.#spec.kind === "faults" && months.length > 0) await this.#makeMonths(months);
    const [added] = await Promise.all([this.#tx.unsafe(this.#insert), this.#tx.unsafe(`TRUNCATE ${STAGING}`)]);
    this.accepted += added.count;
  }

  async #askStored(inverters: readonly InverterReach[]): Promise<void> {
    if (inverters.length === 0) return;
    const rows = await this.#tx.unsafe<{ n: string; first: number; last: number }[]>(
      `SELECT s.n, extract(epoch FROM l.first_row)::float8 * 1000 AS first, extract(epoch FROM l.last_row)::float8 * 1000 AS last
       FROM unnest($1::text[], $2::text[]) WITH ORDINALITY AS s (site_id, inverter_id, n) JOIN inverter_log l USING (site_id, inverter_id)
       WHERE l.account_id = current_account()`,
      [inverters.map((i) => i.siteId), inverters.map((i) => i.inverterId)],
    );
    for (const { n, first, last } of rows) this.#stored.set(inverters[Number(n) - 1] as InverterReach, { first, last });
  }

  /** When all is inserted: sites have a new revision, logs and records reach further. @returns rows stored */
  async finish(): Promise<number> {
    const { inverters } = this.#reach;
    if (this.accepted === 0 || inverters.length === 0) return this.accepted;
    const sites = inverters.map((i) => i.siteId);
    await this.#tx.unsafe(
      "UPDATE site SET revision = revision + 1 WHERE account_id = current_account() AND site_id = ANY($1::text[])",
      [[...new Set(sites)]],
    );
    const ends = times(inverters, this.#spec.kind === "faults" ? "end" : "last");
    await this.#tx.unsafe(
      extendLogs(
        `SELECT current_account(), * FROM unnest($1::text[], $2::text[], $3::timestamptz[], $4::timestamptz[])`,
      ),
      [sites, inverters.map((i) => i.inverterId), times(inverters, "first"), ends],
    );
    if (this.#spec.kind === "faults")
      await this.#tx.unsafe(
        reachTo("fault_at", "SELECT current_account(), max(at) FROM unnest($1::timestamptz[]) AS at"),
        [ends],
      );
    return this.accepted;
  }
}
