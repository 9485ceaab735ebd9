import type { Sql } from "./transaction.ts";

export const ALERT_KINDS = ["stop_reading", "make_safe", "make_safe_escalated", "checkout_overdue"] as const;
export type AlertKind = (typeof ALERT_KINDS)[number];

/** Raise an alert. The same kind and subject are raised once, however often they are found. @returns whether it is new */
export async function addAlert(tx: Sql, kind: AlertKind, subject: string, detail: object): Promise<boolean> {
  const added = await tx`INSERT INTO outbox_alert (account_id, kind, subject, detail)
    VALUES (current_account(), ${kind}, ${subject}, ${tx.json(detail as never)})
    ON CONFLICT (account_id, kind, subject) DO NOTHING`;
  return added.count > 0;
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
