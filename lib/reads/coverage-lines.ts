import "server-only";
import { REMINDER_ALERT } from "../jobs/coverage-reminders.ts";
import type { Paper, StoredPart } from "../store/coverage-rows.ts";
import type { Sql } from "../store/transaction.ts";
import type { LinkLine, PaperLine, PartLine, ReminderLine, ReportLine } from "./coverage-view.ts";

export const paperLine = (p: Paper): PaperLine => ({
  documentId: p.document_id,
  coverageId: p.coverage_id,
  kind: p.kind,
  fileName: p.file_name,
  mediaType: p.media_type,
  bytes: p.bytes,
  sha256: p.sha256,
  page: p.page,
  note: p.note,
  addedBy: p.added_by,
  addedAt: p.added_at.toISOString(),
});

export const partLine = (part: StoredPart): PartLine => ({
  itemId: part.item_id,
  tag: part.tag,
  what: part.what,
  placeFound: part.place_found,
  documentId: part.document_id,
  removedBy: part.removed_by,
  removedAt: part.removed_at.toISOString(),
  heldBy: part.transfers.at(-1)?.to_person ?? part.removed_by,
  transfers: part.transfers.map((t) => ({
    from: t.from_person,
    to: t.to_person,
    storedAt: t.stored_at,
    sealed: t.sealed,
    signedFrom: t.signed_from,
    signedTo: t.signed_to,
    handedAt: t.handed_at.toISOString(),
  })),
});

const SHOWN_REMINDERS = 100;

/**
 * Reminders that nobody has acknowledged: those of claims before those of suspicions, which may be many; newest first.
 * Once something is discovered at a site, those of its suspicion are left out.
 */
export async function openReminders(tx: Sql, book: string | null): Promise<ReminderLine[]> {
  const rows = await tx<{ subject: string; site_id: string; says: string; raised_at: Date; suspected: boolean }[]>`
    SELECT subject, detail ->> 'siteId' AS site_id, detail ->> 'says' AS says, raised_at,
      detail ->> 'kind' = 'prudent_notice' AS suspected FROM outbox_alert a
    WHERE account_id = current_account() AND kind = ${REMINDER_ALERT} AND acknowledged_at IS NULL
      AND NOT (detail ->> 'kind' = 'prudent_notice' AND EXISTS (SELECT 1 FROM discovery d
        WHERE d.account_id = a.account_id AND d.site_id = a.detail ->> 'siteId' AND d.ended_how IS NULL))
      ${book === null ? tx`` : tx`AND detail ->> 'portfolio' = ${book}`} ORDER BY suspected, raised_at DESC, subject LIMIT ${SHOWN_REMINDERS}`;
  return rows.map((r) => ({
    ...{ key: r.subject, siteId: r.site_id, says: r.says, raisedAt: r.raised_at.toISOString() },
    isSuspicion: r.suspected,
  }));
}

interface LinkRow {
  link_id: string;
  made_for: string;
  made_by: string;
  made_at: Date;
  expires_at: Date | null;
  revoked_at: Date | null;
}

/** Links to the calendar of a book, or to the evidence of a site, newest first. */
export async function linksOf(tx: Sql, to: { book: string } | { siteId: string }, now: number): Promise<LinkLine[]> {
  const rows = await tx<LinkRow[]>`
    SELECT link_id::text, made_for, made_by, made_at, expires_at, revoked_at FROM access_link
    WHERE account_id = current_account() AND ${"book" in to ? tx`kind = 'calendar' AND portfolio = ${to.book}` : tx`kind = 'site' AND site_id = ${to.siteId}`}
    ORDER BY made_at DESC, link_id LIMIT 50`;
  return rows.map((row) => ({
    linkId: row.link_id,
    madeFor: row.made_for,
    madeBy: row.made_by,
    madeAt: row.made_at.toISOString(),
    expiresAt: row.expires_at?.toISOString() ?? null,
    state: row.revoked_at ? "revoked" : row.expires_at && row.expires_at.getTime() <= now ? "expired" : "open",
  }));
}

export async function reportsOf(tx: Sql, book: string): Promise<ReportLine[]> {
  const rows = await tx<
    { report_id: string; month: string; scheduled: boolean; sha256: string; made_by: string; made_at: Date }[]
  >`SELECT report_id::text, month, scheduled, sha256, made_by, made_at FROM monthly_report
    WHERE account_id = current_account() AND portfolio = ${book} ORDER BY made_at DESC LIMIT 36`;
  return rows.map((r) => ({
    reportId: r.report_id,
    month: r.month,
    scheduled: r.scheduled,
    sha256: r.sha256,
    madeBy: r.made_by,
    madeAt: r.made_at.toISOString(),
  }));
}

export async function booksOf(tx: Sql): Promise<string[]> {
  const rows = await tx<{ portfolio: string }[]>`
    SELECT DISTINCT portfolio FROM site WHERE account_id = current_account() ORDER BY portfolio`;
  return rows.map((row) => row.portfolio);
}
