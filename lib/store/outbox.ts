import type { Sql } from "./transaction.ts";

export const ALERT_KINDS = ["stop_reading", "make_safe", "make_safe_escalated", "checkout_overdue"] as const;
export type AlertKind = (typeof ALERT_KINDS)[number];

export interface NewAlert {
  kind: AlertKind;
  subject: string;
  detail: object;
}

/** Raise an alert. The same kind and subject are raised once, however often they are found. @returns whether it is new */
export async function addAlert(tx: Sql, kind: AlertKind, subject: string, detail: object): Promise<boolean> {
  return (await addAlerts(tx, [{ kind, subject, detail }])) > 0;
}

/** The same for several, by one statement. @returns how many are new */
export async function addAlerts(tx: Sql, alerts: readonly NewAlert[]): Promise<number> {
  if (alerts.length === 0) return 0;
  const added = await tx`INSERT INTO outbox_alert (account_id, kind, subject, detail)
    SELECT current_account(), kind, subject, detail::jsonb
    FROM unnest(${alerts.map((a) => a.kind)}::text[], ${alerts.map((a) => a.subject)}::text[],
      ${alerts.map((a) => JSON.stringify(a.detail))}::text[]) AS new(kind, subject, detail)
    ON CONFLICT (account_id, kind, subject) DO NOTHING`;
  return added.count;
}

/** A named person has every alert of a make_safe, and the stop readings of its site, that nobody had yet. */
export async function acknowledgeMakeSafeAlerts(
  tx: Sql,
  { makeSafeId, siteId }: { makeSafeId: string; siteId: string },
  by: string,
): Promise<void> {
  await tx`UPDATE outbox_alert SET acknowledged_by = ${by}, acknowledged_at = clock_timestamp()
    WHERE account_id = current_account() AND acknowledged_by IS NULL
      AND (detail->>'makeSafeId' = ${makeSafeId} OR (kind = 'stop_reading' AND detail->>'siteId' = ${siteId}))`;
}
