import type { Sql } from "./transaction.ts";

/**
 * Where the audit log of the transaction's account does not hold together: entries whose hash is not that of their text,
 * that do not follow the entry before, or before which one is missing.
 * @returns how many entries there are, and the number of the first at fault; null: none is
 */
export async function auditChain(tx: Sql, accountId: number): Promise<{ entries: number; firstBroken: number | null }> {
  const [row] = await tx<{ entries: number; broken: number | null }[]>`
    WITH chain AS (
      SELECT *, lag(hash, 1, ''::bytea) OVER (ORDER BY seq) AS before, row_number() OVER (ORDER BY seq) AS place
      FROM audit_entry WHERE account_id = ${accountId}
    )
    SELECT count(*)::integer AS entries, (min(seq) FILTER (WHERE seq <> place OR previous_hash <> before
      OR hash <> audit_hash(previous_hash, account_id, seq, at, person, role, action, subject, detail)))::float8 AS broken
    FROM chain`;
  return { entries: row?.entries ?? 0, firstBroken: row?.broken ?? null };
}
