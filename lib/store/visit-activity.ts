import { z } from "zod";
import type { Instant } from "../core/records.ts";
import type { Sql } from "./transaction.ts";

/** What is known of a visit being made. */
export interface VisitActivity {
  /** First thing written on site; null: nothing was. */
  begunAt: Instant | null;
  /** Signed, or recorded as done. */
  endedAt: Instant | null;
  done: boolean;
}

const Row = z.object({
  visit_id: z.string(),
  begun_at: z.date().nullable(),
  ended_at: z.date().nullable(),
  done: z.boolean(),
});

/** What phones and records tell of visits; those of which nothing is told are absent. */
export async function visitActivity(tx: Sql, visitIds: readonly string[]): Promise<Map<string, VisitActivity>> {
  const rows = await tx`
    SELECT coalesce(e.visit_id, v.visit_id) AS visit_id, e.begun_at, e.ended_at,
      coalesce(v.status = 'done', false) AS done
    FROM (
      SELECT visit_id, min(written_at) AS begun_at,
        max(written_at) FILTER (WHERE item = 'visit' AND (field = 'signed' OR (field = 'state' AND value = 'checked_out'))) AS ended_at
      FROM visit_edit WHERE account_id = current_account() AND visit_id = ANY(${[...visitIds]}) GROUP BY visit_id
    ) e FULL JOIN (
      SELECT visit_id, status FROM visit WHERE account_id = current_account() AND visit_id = ANY(${[...visitIds]})
    ) v ON v.visit_id = e.visit_id`;
  return new Map(
    z
      .array(Row)
      .parse([...rows])
      .map((row) => [
        row.visit_id,
        { begunAt: row.begun_at?.getTime() ?? null, endedAt: row.ended_at?.getTime() ?? null, done: row.done },
      ]),
  );
}
