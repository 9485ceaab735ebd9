import { cautionText } from "../grounding/cautions.ts";
import { type NoticeConfiguration, type NoticeSettings, noticeConfiguration } from "../live/notice-settings.ts";
import { quietUntil } from "../live/quiet-hours.ts";
import { sendEmail } from "../live/send-email.ts";
import { type Delivery, sendWebhook } from "../live/send-webhook.ts";
import type { Actor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { recipients } from "../store/notice-recipients.ts";
import * as notices from "../store/notices.ts";
import type { AlertKind } from "../store/outbox.ts";
import { readTransaction, type Sql, systemTransaction } from "../store/transaction.ts";
import { holdingLock } from "./hold-lock.ts";
import { noticeLockKey } from "./import-lock.ts";

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
/** Notices handed over in one run; the next run goes on. */
const BATCH = 50;
/** Judgement: make-safe is tried often and for days, a change of plans is stale after one. */
const TRIES = {
  make_safe: { first: MINUTE_MS / 2, most: HOUR_MS / 2, tries: 120 },
  plan_change: { first: MINUTE_MS, most: 4 * HOUR_MS, tries: 12 },
} as const;

const KEEP_OFF = "Keep people away from the array and every metal part of it.";
const ALERT_WORDS: Record<AlertKind, { title: string; does: string }> = {
  stop_reading: { title: "STOP READING", does: KEEP_OFF },
  make_safe: { title: "MAKE SAFE", does: KEEP_OFF },
  make_safe_escalated: { title: "MAKE SAFE, NOBODY ANSWERED", does: KEEP_OFF },
  checkout_overdue: {
    title: "NOT CHECKED OUT",
    does: "Somebody is on site past the time they gave. Call them now; where nobody answers, send help and touch no metal.",
  },
};

/** How notices leave this installation. */
export const noticeSettings = (): NoticeConfiguration => noticeConfiguration(process.env);

export interface NoticeRun {
  settings: NoticeSettings;
  signal: AbortSignal;
  now?: () => number;
  /** Longest wait for a webhook. */
  timeoutMs?: number;
}

/**
 * Make the notices that alerts and plans call for, and hand over those that are due, unless another process does. Each
 * notice has one row and one id, however often the work is begun again; one that a killed worker was handing over is sent
 * again under the same id.
 * @returns notices handed over; null when another process is at it
 */
export async function runNotices(db: Database, actor: Actor, run: NoticeRun): Promise<number | null> {
  return holdingLock(db, noticeLockKey(actor.accountId), { waits: false }, async () => {
    await systemTransaction(actor, makeNotices, db);
    const now = run.now ?? Date.now;
    const due = await readTransaction(actor, (tx) => notices.dueNotices(tx, now(), BATCH), db);
    let sent = 0;
    for (const notice of due) {
      if (run.signal.aborted) break;
      if (await handOver(db, actor, notice, { ...run, now })) sent++;
    }
    return sent;
  });
}

async function makeNotices(tx: Sql): Promise<void> {
  const to = await recipients(tx);
  const each = (list: typeof to, notice: notices.NewNotice) => list.map(({ recipientId }) => ({ recipientId, notice }));
  const alerts = await notices.untoldAlerts(tx);
  const names = await siteNames(
    tx,
    alerts.flatMap((alert) => siteOf(alert) ?? []),
  );
  await notices.addNotices(
    tx,
    alerts.flatMap((alert) =>
      each(
        to.filter((r) => r.makeSafe && r.addedAt <= alert.raised_at),
        alertNotice(alert, names),
      ),
    ),
  );
  const changes = await notices.untoldPlanChanges(tx);
  await notices.addNotices(
    tx,
    changes.flatMap((change) =>
      each(
        to.filter((r) => r.planChanges && r.addedAt <= change.at),
        planNotice(change),
      ),
    ),
  );
}

function planNotice(change: Awaited<ReturnType<typeof notices.untoldPlanChanges>>[number]): notices.NewNotice {
  const days = `${change.from_day}, ${change.days} ${change.days === 1 ? "day" : "days"}`;
  const why = change.reason ? `\nWhy: ${change.reason}` : "";
  return {
    event: `plan/${change.plan_id}/${change.seq}`,
    kind: "plan_change",
    subject: `Plan ${days}: ${change.kind === "confirm" ? "confirmed" : "changed"}`,
    body: `${change.says}${why}\n\nBy ${change.person}, ${new Date(change.at).toISOString()}. No plan clears a site: measure before touching.`,
    detail: { plan_id: change.plan_id, change: change.kind, from: change.from_day, days: change.days },
  };
}

type UntoldAlert = Awaited<ReturnType<typeof notices.untoldAlerts>>[number];
const siteOf = ({ detail }: UntoldAlert) => (typeof detail.siteId === "string" ? detail.siteId : null);

async function siteNames(tx: Sql, siteIds: string[]): Promise<Map<string, string>> {
  const rows = await tx<{ site_id: string; name: string }[]>`
    SELECT site_id, name FROM site WHERE account_id = current_account() AND site_id = ANY(${siteIds})`;
  return new Map(rows.map((row) => [row.site_id, row.name]));
}

function alertNotice(alert: UntoldAlert, names: ReadonlyMap<string, string>): notices.NewNotice {
  const siteId = siteOf(alert);
  const name = siteId === null ? undefined : names.get(siteId);
  const where = name === undefined ? (siteId ?? alert.subject) : `${name} (${siteId})`;
  const { title, does } = ALERT_WORDS[alert.kind];
  const says = typeof alert.detail.says === "string" ? [alert.detail.says] : [];
  return {
    event: `alert/${alert.kind}/${alert.subject}`,
    kind: "make_safe",
    subject: `${title}: ${where}`,
    body: [
      `${title} at ${where}, raised ${new Date(alert.raised_at).toISOString()}.`,
      ...says,
      `${does} Acknowledge the alert in Raintrip by name.`,
      cautionText([
        "all_metal_live",
        "stop_limit",
        "keep_bonds_closed",
        "no_load_break",
        "no_reset",
        "local_authority",
      ]),
    ].join("\n\n"),
    detail: { alert: alert.kind, subject: alert.subject, site_id: siteId },
  };
}

async function handOver(
  db: Database,
  actor: Actor,
  notice: notices.DueNotice,
  { settings, now, timeoutMs }: NoticeRun & { now: () => number },
): Promise<boolean> {
  const quiet = notice.kind === "make_safe" ? null : quietUntil(notice.quiet, now());
  if (quiet !== null) {
    await systemTransaction(actor, (tx) => notices.putOff(tx, notice.noticeId, quiet), db);
    return false;
  }
  if (notice.toKind === "email" && settings.smtp === null) {
    await systemTransaction(actor, (tx) => notices.putOff(tx, notice.noticeId, now() + 5 * MINUTE_MS), db);
    return false;
  }
  const { noticeId } = notice;
  const attempt = await systemTransaction(actor, (tx) => notices.beginAttempt(tx, noticeId, now()), db);
  const done = await deliver(notice, settings, now(), timeoutMs);
  const { first, most, tries } = TRIES[notice.kind];
  const over = !done.ok && (done.final || attempt >= tries);
  const state = done.ok ? "sent" : over ? "given_up" : "waiting";
  const nextAt = now() + Math.min(most, first * 2 ** Math.min(20, attempt - 1));
  const end = { noticeId, attempt, ok: done.ok, says: done.says, state, nextAt, now: now() } as const;
  await systemTransaction(actor, (tx) => notices.endAttempt(tx, end), db);
  return done.ok;
}

async function deliver(
  notice: notices.DueNotice,
  settings: NoticeSettings,
  now: number,
  timeoutMs?: number,
): Promise<Delivery> {
  if (notice.toKind === "email") {
    if (!settings.smtp) return { ok: false, says: "no mail server is set", final: false };
    return sendEmail(settings.smtp, {
      to: notice.address,
      subject: notice.subject,
      text: notice.body,
      noticeId: notice.noticeId,
    });
  }
  const { noticeId, event, kind, subject, body: text, detail, madeAt } = notice;
  const body = JSON.stringify({
    id: noticeId,
    event,
    kind,
    subject,
    text,
    detail,
    made_at: new Date(madeAt).toISOString(),
  });
  return sendWebhook(
    { url: notice.address, secret: notice.secret ?? "", noticeId, body, timestamp: Math.floor(now / 1000) },
    { allowPrivate: settings.allowPrivate, ...(timeoutMs ? { timeoutMs } : {}) },
  );
}
