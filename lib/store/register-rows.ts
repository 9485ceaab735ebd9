import { z } from "zod";
import { CoverageRow, selectList } from "./record-rows.ts";
import type { Sql } from "./transaction.ts";

type Contract = z.infer<typeof CoverageRow>;

/** A contract as the register lists it, with its site's name and book. */
export type RegisterLine = Contract & { siteName: string; portfolio: string };

/** Which sites a register is of: those of a book, or of the account. */
const inBook = (tx: Sql, book: string | null) => (book === null ? tx`` : tx`AND s.portfolio = ${book}`);

export interface RegisterCounts {
  sites: number;
  /** Sites without any contract on record. */
  bare: number;
}

export async function registerCounts(tx: Sql, book: string | null): Promise<RegisterCounts> {
  const [row] = await tx<[RegisterCounts]>`
    SELECT count(*)::int AS sites, (count(*) FILTER (WHERE c.site_id IS NULL))::int AS bare
    FROM site s LEFT JOIN (SELECT DISTINCT site_id FROM coverage WHERE account_id = current_account()) c USING (site_id)
    WHERE s.account_id = current_account() ${inBook(tx, book)}`;
  return row;
}

/**
 * The first contracts of a register by site and beginning, and how many there are.
 * @param find text that the site's id or name, the contract's id, provider or policy number has; empty: all
 */
export async function registerLines(
  tx: Sql,
  { book, find, most }: { book: string | null; find: string; most: number },
): Promise<{ lines: RegisterLine[]; total: number }> {
  const pattern = `%${find.replace(/[\\%_]/g, "\\$&")}%`;
  const found = tx`FROM coverage c JOIN site s USING (account_id, site_id) WHERE c.account_id = current_account() ${inBook(tx, book)}
    ${find === "" ? tx`` : tx`AND concat_ws(E'\n', c.site_id, s.name, c.coverage_id, c.provider, c.policy_number) ILIKE ${pattern}`}`;
  const [count] = await tx<[{ n: number }]>`SELECT count(*)::int AS n ${found}`;
  const rows = await tx`
    SELECT ${tx.unsafe(selectList(CoverageRow))}, found.name AS "siteName", found.portfolio FROM coverage JOIN (
      SELECT c.coverage_id, s.name, s.portfolio ${found} ORDER BY c.site_id, c.starts_on, c.coverage_id LIMIT ${most}
    ) found USING (coverage_id) WHERE account_id = current_account() ORDER BY site_id, starts_on, coverage_id`;
  const Line = CoverageRow.extend({ siteName: z.string(), portfolio: z.string() });
  return { lines: z.array(Line).parse([...rows]), total: count.n };
}

/** Contracts whose terms may be in trouble (`coverage/contract-troubles.ts` says which are): few, where records are in order. */
export async function doubtfulContracts(tx: Sql, book: string | null): Promise<Contract[]> {
  const rows = await tx`
    SELECT ${tx.unsafe(selectList(CoverageRow))} FROM coverage WHERE account_id = current_account() AND coverage_id IN (
      SELECT c.coverage_id FROM coverage c JOIN site s USING (account_id, site_id)
      WHERE c.account_id = current_account() ${inBook(tx, book)} AND (
        c.ends_on < c.starts_on OR c.limit_amount < c.deductible_amount
        OR (c.currency IS NULL AND coalesce(c.limit_amount, c.deductible_amount) IS NOT NULL))
      UNION SELECT unnest(ARRAY[a.coverage_id, b.coverage_id]) FROM coverage a JOIN coverage b USING (account_id, site_id, kind)
        JOIN site s USING (account_id, site_id)
      WHERE a.account_id = current_account() ${inBook(tx, book)} AND a.coverage_id < b.coverage_id
        AND a.starts_on <= b.ends_on AND b.starts_on <= a.ends_on)
    ORDER BY site_id, starts_on, coverage_id`;
  return z.array(CoverageRow).parse([...rows]);
}
