import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { dutyPeople } from "../store/make-safe.ts";
import { ALERT_KINDS } from "../store/outbox.ts";
import { readTransaction } from "../store/transaction.ts";
import type { AlertLine, AlertsView } from "./alerts-view.ts";

/** Alerts that nobody has are all listed; of the others, the newest. */
const SHOWN = 200;

const Detail = z.looseObject({
  siteId: z.string().default(""),
  visitId: z.string().nullable().default(null),
  says: z.string().default(""),
  unanswered: z.string().default(""),
  asked: z.string().default(""),
  by: z.string().default(""),
  leaveBy: z.number().nullable().default(null),
  arrivedAt: z.number().nullable().default(null),
});
const Row = z.object({
  ...{ kind: z.string(), subject: z.string(), detail: Detail, name: z.string().nullable() },
  ...{ raised_at: z.date(), acknowledged_by: z.string().nullable(), acknowledged_at: z.date().nullable() },
});

/** The outbox: nothing leaves it. What may endanger people stands before reminders, however new those are. */
export async function readAlerts(actor: Actor): Promise<AlertsView> {
  authorise(actor, "alerts.read");
  return readTransaction(actor, async (tx) => {
    const rows = await tx`
      SELECT kind, subject, detail, s.name, raised_at, acknowledged_by, acknowledged_at
      FROM outbox_alert o LEFT JOIN site s ON s.account_id = o.account_id AND s.site_id = o.detail->>'siteId'
      WHERE o.account_id = current_account()
      ORDER BY acknowledged_by IS NOT NULL, kind = ANY(${[...ALERT_KINDS]}) DESC, raised_at DESC, kind, subject LIMIT ${SHOWN}`;
    const [count] = await tx<{ n: number }[]>`SELECT count(*)::int AS n FROM outbox_alert
      WHERE account_id = current_account() AND acknowledged_by IS NULL`;
    return {
      alerts: z
        .array(Row)
        .parse([...rows])
        .map(alertLine),
      waiting: count?.n ?? 0,
      duty: await dutyPeople(tx),
    };
  });
}

/** How many alerts nobody has. */
export async function readAlertCount(actor: Actor): Promise<{ waiting: number }> {
  authorise(actor, "alerts.read");
  return readTransaction(actor, async (tx) => {
    const [count] = await tx<{ n: number }[]>`SELECT count(*)::int AS n FROM outbox_alert
      WHERE account_id = current_account() AND acknowledged_by IS NULL`;
    return { waiting: count?.n ?? 0 };
  });
}

function alertLine(row: z.infer<typeof Row>): AlertLine {
  const { kind, subject, detail, name } = row;
  return {
    ...{ kind, subject, siteId: detail.siteId, siteName: name ?? detail.siteId, visitId: detail.visitId },
    says: sayAlert(kind, detail),
    raisedAt: row.raised_at.toISOString(),
    acknowledgedBy: row.acknowledged_by,
    acknowledgedAt: row.acknowledged_at?.toISOString() ?? null,
  };
}

const utc = (at: number) => `${new Date(at).toISOString().slice(0, 16).replace("T", " ")} UTC`;

function sayAlert(kind: string, detail: z.infer<typeof Detail>): string {
  const asked = detail.asked ? ` Asked: ${detail.asked}.` : " Nobody is named to answer: whoever reads this takes it.";
  if (kind === "stop_reading") return `STOP read: ${detail.says}`;
  if (kind === "make_safe") return `Make safe: ${detail.says}${asked}`;
  if (kind === "make_safe_escalated")
    return `No answer in time (${detail.unanswered}). Make safe: ${detail.says}${asked}`;
  if (kind !== "checkout_overdue") return detail.says || kind.replaceAll("_", " ");
  const arrived = detail.arrivedAt === null ? "" : `, arrived ${utc(detail.arrivedAt)}`;
  const leave = detail.leaveBy === null ? "" : `, was to leave by ${utc(detail.leaveBy)}`;
  return `${detail.by} has not checked out${arrived}${leave}. The phone may be without signal: call, and send somebody if there is no answer.`;
}
