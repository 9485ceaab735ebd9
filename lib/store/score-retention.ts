import type { Sql } from "./transaction.ts";

/** Which old scores stay, beside those that something refers to. */
export interface KeepScores {
  /** Every score computed since stays. */
  everyFrom: Date;
  /** The last of each week stays since; before, the last of each month. */
  weeklyFrom: Date;
  /** Probability from which a site is under suspicion: where a score crosses it, a deadline may begin. */
  suspicion: number;
}

/** Sites that have a score old enough to go. */
export async function sitesWithOldScores(tx: Sql, { everyFrom }: KeepScores): Promise<string[]> {
  const rows = await tx<{ site_id: string }[]>`
    SELECT DISTINCT site_id FROM score WHERE account_id = current_account() AND computed_at < ${everyFrom} ORDER BY site_id`;
  return rows.map((row) => row.site_id);
}

/**
 * Remove the old scores of some sites but for: the first and the newest; the last of each week, then month; those on both sides
 * of a change of urgency or of crossing the suspicion; and for every instant that a record names, the score that stood
 * then and the one that a forecast of it is read from.
 * @returns how many went
 */
export async function removeOldScores(tx: Sql, siteIds: readonly string[], keep: KeepScores): Promise<number> {
  const ids = [...siteIds];
  const above = (column: string) => tx`(${tx.unsafe(column)} >= ${keep.suspicion}::float8)`;
  const rows = await tx`
    WITH own AS MATERIALIZED (
      SELECT site_id, input_hash, as_of, computed_at, parameter_version, bonding_p, urgency,
        row_number() OVER w AS place,
        lag(bonding_p) OVER w AS p_before, lead(bonding_p) OVER w AS p_after,
        lag(urgency) OVER w AS urgency_before, lead(urgency) OVER w AS urgency_after,
        row_number() OVER (PARTITION BY site_id, date_trunc('week', as_of - interval '1 second')
          ORDER BY as_of DESC, computed_at DESC, input_hash) AS of_week,
        row_number() OVER (PARTITION BY site_id, date_trunc('month', as_of - interval '1 second')
          ORDER BY as_of DESC, computed_at DESC, input_hash) AS of_month
      FROM score WHERE account_id = current_account() AND site_id = ANY(${ids})
      WINDOW w AS (PARTITION BY site_id ORDER BY computed_at, as_of, input_hash)
    ), old AS MATERIALIZED (
      SELECT * FROM own WHERE computed_at < ${keep.everyFrom} AND place > 1 AND of_month > 1
        AND NOT (of_week = 1 AND computed_at >= ${keep.weeklyFrom})
        AND ${above("bonding_p")} = coalesce(${above("p_before")}, ${above("bonding_p")})
        AND ${above("bonding_p")} = coalesce(${above("p_after")}, ${above("bonding_p")})
        AND urgency IS NOT DISTINCT FROM urgency_before AND urgency IS NOT DISTINCT FROM urgency_after
    ), named AS MATERIALIZED (${namedInstants(tx, ids)}
    ), kept AS (
      SELECT n.site_id, k.input_hash FROM (SELECT DISTINCT site_id, at FROM named WHERE site_id IN (SELECT site_id FROM old)) n
      CROSS JOIN LATERAL (
        (SELECT input_hash FROM own o WHERE o.site_id = n.site_id AND o.computed_at <= n.at
          ORDER BY o.computed_at DESC, o.as_of DESC LIMIT 1)
        UNION ALL
        (SELECT input_hash FROM own o WHERE o.site_id = n.site_id AND o.as_of < n.at
          ORDER BY o.as_of DESC, o.computed_at DESC LIMIT 1)
        UNION ALL
        (SELECT input_hash FROM own o LEFT JOIN parameter_version pv ON pv.account_id = current_account()
            AND pv.version = substring(o.parameter_version FROM '\\+([0-9]+)$')::integer
          WHERE o.site_id = n.site_id AND o.as_of < n.at AND (pv.created_at IS NULL OR pv.created_at < n.at)
          ORDER BY o.as_of DESC, o.computed_at DESC LIMIT 1)) k
      UNION SELECT site_id, input_hash FROM standing WHERE account_id = current_account() AND site_id = ANY(${ids})
      UNION SELECT site_id, input_hash FROM site_detail WHERE account_id = current_account() AND site_id = ANY(${ids})
    )
    DELETE FROM score c USING old
    WHERE c.account_id = current_account() AND c.site_id = old.site_id AND c.input_hash = old.input_hash
      AND NOT EXISTS (SELECT FROM kept WHERE kept.site_id = old.site_id AND kept.input_hash = old.input_hash)`;
  return rows.count;
}

/** Every instant at which somebody found, decided, sent or was told something of a site. */
function namedInstants(tx: Sql, ids: string[]) {
  const of = (table: string, ...columns: string[]) =>
    tx.unsafe(
      columns
        .map(
          (column) =>
            `UNION ALL SELECT site_id, ${column} FROM ${table} WHERE account_id = current_account() AND ${column} IS NOT NULL`,
        )
        .join("\n"),
    );
  return tx`
    SELECT * FROM (
      SELECT w.site_id, a.at FROM (
          SELECT subject, detail, at FROM audit_entry WHERE account_id = current_account() AND role <> 'system'
          UNION ALL SELECT subject, detail, t.at FROM outbox_alert CROSS JOIN LATERAL (VALUES (raised_at), (acknowledged_at)) t(at)
            WHERE account_id = current_account() AND t.at IS NOT NULL) a
      CROSS JOIN LATERAL (SELECT a.subject AS word UNION SELECT v #>> '{}' FROM jsonb_path_query(a.detail, '$.** ? (@.type() == "string")') v) said
      JOIN (SELECT site_id, site_id AS word FROM site WHERE account_id = current_account()
        UNION SELECT site_id, visit_id FROM visit WHERE account_id = current_account()
        UNION SELECT site_id, visit_id FROM visit_edit WHERE account_id = current_account()
        UNION SELECT site_id, visit_id FROM visit_checklist WHERE account_id = current_account()
        UNION SELECT site_id, visit_id FROM plan_visit WHERE account_id = current_account()) w ON w.word = said.word
      ${of("inspection", "inspected_at")} ${of("repair", "repaired_at")} ${of("visit", "promised_from", "promised_to")}
      ${of("visit_edit", "written_at", "received_at")} ${of("visit_checklist", "as_of")} ${of("site_outcome", "at")}
      ${of("discovery", "discovered_at", "ended_at")} ${of("notice_sent", "recorded_at")}
      ${of("make_safe", "opened_at", "closed_at")} ${of("detector_word", "said_at")}
      ${of("custody_item", "removed_at", "recorded_at")} ${of("site_hold", "held_at")}
      UNION ALL SELECT v.site_id, t.at FROM plan_visit v JOIN plan p USING (account_id, plan_id)
        CROSS JOIN LATERAL (VALUES (p.made_at), (p.confirmed_at)) t(at) WHERE v.account_id = current_account() AND t.at IS NOT NULL
    ) every_instant (site_id, at) WHERE site_id = ANY(${ids})`;
}
