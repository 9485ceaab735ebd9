import { z } from "zod";
import { ALERT_KINDS } from "./outbox.ts";
import type { Sql } from "./transaction.ts";

const at = z.date().transform((date) => date.getTime());

export interface NewNotice {
  event: string;
  kind: "make_safe" | "plan_change";
  subject: string;
  body: string;
  detail: Record<string, unknown>;
}

/** Notices to recipients, each unless they have it, by one statement. @returns how many are new */
export async function addNotices(tx: Sql, to: readonly { recipientId: string; notice: NewNotice }[]): Promise<number> {
  if (to.length === 0) return 0;
  const of = (value: (notice: NewNotice) => string) => to.map(({ notice }) => value(notice));
  const put = await tx`
    INSERT INTO notice (account_id, recipient_id, event, notice_id, kind, subject, body, detail)
    SELECT current_account(), recipient_id, event, gen_random_uuid(), kind, subject, body, detail::jsonb
    FROM unnest(${to.map((one) => one.recipientId)}::text[], ${of((n) => n.event)}::text[], ${of((n) => n.kind)}::text[],
      ${of((n) => n.subject)}::text[], ${of((n) => n.body)}::text[], ${of((n) => JSON.stringify(n.detail))}::text[])
      AS new(recipient_id, event, kind, subject, body, detail)
    ON CONFLICT (account_id, recipient_id, event) DO NOTHING`;
  return put.count;
}

const AlertRow = z.object({
  kind: z.enum(ALERT_KINDS),
  subject: z.string(),
  detail: z.record(z.string(), z.unknown()),
  raised_at: at,
});

/** Alerts about people in danger that nobody acknowledged and some recipient was not told of. */
export async function untoldAlerts(tx: Sql): Promise<z.infer<typeof AlertRow>[]> {
  const rows = await tx`
    SELECT a.kind, a.subject, a.detail, a.raised_at FROM outbox_alert a
    WHERE a.account_id = current_account() AND a.acknowledged_at IS NULL AND a.kind = ANY(${[...ALERT_KINDS]}) AND EXISTS (
      SELECT FROM notice_recipient r WHERE r.account_id = a.account_id AND r.removed_at IS NULL AND r.make_safe AND r.added_at <= a.raised_at
        AND NOT EXISTS (SELECT FROM notice n WHERE n.account_id = a.account_id AND n.recipient_id = r.recipient_id
          AND n.event = 'alert/' || a.kind || '/' || a.subject))
    ORDER BY a.raised_at LIMIT 500`;
  return z.array(AlertRow).parse([...rows]);
}

const PlanChangeRow = z.object({
  plan_id: z.string(),
  seq: z.number(),
  kind: z.string(),
  says: z.string(),
  reason: z.string().nullable(),
  person: z.string(),
  at,
  from_day: z.string(),
  days: z.number(),
});

/** Confirmations, and changes of plans that were out already, that some recipient was not told of. */
export async function untoldPlanChanges(tx: Sql): Promise<z.infer<typeof PlanChangeRow>[]> {
  const rows = await tx`
    SELECT c.plan_id, c.seq, c.kind, c.says, c.reason, c.person, c.at, p.from_day::text AS from_day, p.days
    FROM plan_change c JOIN plan p USING (account_id, plan_id)
    WHERE c.account_id = current_account() AND p.confirmed_at IS NOT NULL AND (c.kind = 'confirm' OR c.at > p.confirmed_at) AND EXISTS (
      SELECT FROM notice_recipient r WHERE r.account_id = c.account_id AND r.removed_at IS NULL AND r.plan_changes AND r.added_at <= c.at
        AND NOT EXISTS (SELECT FROM notice n WHERE n.account_id = c.account_id AND n.recipient_id = r.recipient_id
          AND n.event = 'plan/' || c.plan_id || '/' || c.seq))
    ORDER BY c.at LIMIT 500`;
  return z.array(PlanChangeRow).parse([...rows]);
}

const DueRow = z
  .object({
    notice_id: z.string(),
    kind: z.enum(["make_safe", "plan_change"]),
    event: z.string(),
    subject: z.string(),
    body: z.string(),
    detail: z.record(z.string(), z.unknown()),
    made_at: at,
    attempts: z.number(),
    to_kind: z.enum(["email", "webhook"]),
    address: z.string(),
    secret: z.string().nullable(),
    quiet_from: z.string().nullable(),
    quiet_to: z.string().nullable(),
    time_zone: z.string(),
  })
  .transform((r) => ({
    ...{ noticeId: r.notice_id, kind: r.kind, event: r.event, subject: r.subject, body: r.body, detail: r.detail },
    ...{ madeAt: r.made_at, attempts: r.attempts, toKind: r.to_kind, address: r.address, secret: r.secret },
    quiet: { from: r.quiet_from, to: r.quiet_to, timeZone: r.time_zone },
  }));
export type DueNotice = z.infer<typeof DueRow>;

/** Notices whose time has come, make-safe first. */
export async function dueNotices(tx: Sql, now: number, limit: number): Promise<DueNotice[]> {
  const rows = await tx`
    SELECT n.notice_id, n.kind, n.event, n.subject, n.body, n.detail, n.made_at, n.attempts, r.kind AS to_kind, r.address, r.secret,
      r.quiet_from, r.quiet_to, r.time_zone
    FROM notice n JOIN notice_recipient r USING (account_id, recipient_id)
    WHERE n.account_id = current_account() AND n.state = 'waiting' AND n.next_at <= ${new Date(now)}
    ORDER BY n.kind = 'make_safe' DESC, n.made_at, n.notice_id LIMIT ${limit}`;
  return z.array(DueRow).parse([...rows]);
}

/** Put a notice off. */
export async function putOff(tx: Sql, noticeId: string, until: number): Promise<void> {
  await tx`UPDATE notice SET next_at = ${new Date(until)} WHERE account_id = current_account() AND notice_id = ${noticeId}`;
}

/** Write down that a try begins, before it does: a worker that is killed leaves its trace. @returns its number */
export async function beginAttempt(tx: Sql, noticeId: string, now: number): Promise<number> {
  await tx`UPDATE notice_attempt SET ended_at = ${new Date(now)}, says = 'the worker was stopped in it; whether it arrived is not known'
    WHERE account_id = current_account() AND notice_id = ${noticeId} AND ended_at IS NULL`;
  const [row] = await tx<{ attempts: number }[]>`UPDATE notice SET attempts = attempts + 1
    WHERE account_id = current_account() AND notice_id = ${noticeId} RETURNING attempts`;
  const attempt = row?.attempts ?? 1;
  await tx`INSERT INTO notice_attempt (account_id, notice_id, attempt, begun_at) VALUES (current_account(), ${noticeId}, ${attempt}, ${new Date(now)})`;
  return attempt;
}

export interface AttemptEnd {
  noticeId: string;
  attempt: number;
  ok: boolean;
  says: string;
  state: "waiting" | "sent" | "given_up";
  nextAt: number;
  now: number;
}

export async function endAttempt(tx: Sql, end: AttemptEnd): Promise<void> {
  await tx`UPDATE notice_attempt SET ended_at = ${new Date(end.now)}, ok = ${end.ok}, says = ${end.says.slice(0, 500)}
    WHERE account_id = current_account() AND notice_id = ${end.noticeId} AND attempt = ${end.attempt}`;
  await tx`UPDATE notice SET state = ${end.state}, next_at = ${new Date(end.nextAt)}
    WHERE account_id = current_account() AND notice_id = ${end.noticeId} AND state = 'waiting'`;
}

const LogRow = z
  .object({
    notice_id: z.string(),
    address: z.string(),
    kind: z.enum(["make_safe", "plan_change"]),
    subject: z.string(),
    state: z.enum(["waiting", "sent", "given_up"]),
    made_at: at,
    next_at: at,
    attempts: z.number(),
    last: z.string().nullable(),
    last_at: z.date().nullable(),
  })
  .transform((r) => ({
    ...{
      noticeId: r.notice_id,
      address: r.address,
      kind: r.kind,
      subject: r.subject,
      state: r.state,
      attempts: r.attempts,
    },
    ...{ madeAt: r.made_at, nextAt: r.next_at, last: r.last, lastAt: r.last_at?.getTime() ?? null },
  }));
export type NoticeLogEntry = z.infer<typeof LogRow>;

/** The newest notices with how far they came. */
export async function noticeLog(tx: Sql, limit: number): Promise<NoticeLogEntry[]> {
  const rows = await tx`
    SELECT n.notice_id, r.address, n.kind, n.subject, n.state, n.made_at, n.next_at, n.attempts, a.says AS last, a.ended_at AS last_at
    FROM notice n JOIN notice_recipient r USING (account_id, recipient_id)
    LEFT JOIN LATERAL (SELECT says, ended_at FROM notice_attempt t WHERE t.account_id = n.account_id AND t.notice_id = n.notice_id
      ORDER BY attempt DESC LIMIT 1) a ON true
    WHERE n.account_id = current_account() ORDER BY n.made_at DESC, n.notice_id LIMIT ${limit}`;
  return z.array(LogRow).parse([...rows]);
}
