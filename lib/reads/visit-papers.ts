import "server-only";
import type { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { drawVisitSheet } from "../report/draw-visit-sheet.ts";
import type { VisitSheet } from "../report/visit-sheet.ts";
import type { Actor } from "../store/actor.ts";
import { siteRecords } from "../store/site-records.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { visitEdits, visitPhotos } from "../store/visit-log.ts";
import { checklistSheet } from "./checklist-sheet.ts";
import { QueueVisit } from "./documents.ts";
import { queuedVisits } from "./queue.ts";
import { readerUnits } from "./reader-units.ts";
import { readVisit, visitedSite } from "./visit.ts";
import { printablePhoto } from "./visit-photos.ts";
import { visitReportSheet } from "./visit-report-sheet.ts";
import type { WrittenVisit } from "./visits-view.ts";

/**
 * The checklist of a queued visit as its print shows it.
 * @throws AppError `not_found` when no such visit is in the queue
 */
export async function readChecklistSheet(actor: Actor, visitId: string, madeAt: number): Promise<VisitSheet> {
  authorise(actor, "visits.read");
  const view = await readVisit(actor, visitId);
  if (!view || view.visit.rank === null)
    throw new AppError("not_found", {
      message: `Visit "${visitId}" is not in the queue, so it has no checklist. Its report may still be there.`,
    });
  return checklistSheet(view, madeAt, await readTransaction(actor, (tx) => readerUnits(tx, actor)));
}

const KeptVisit = QueueVisit.omit({ rank: true });

/** What was asked of a visit: kept when it was first scored again, else as it stands in the queue; [] where neither is. */
async function askedOf(tx: Sql, visitId: string): Promise<z.infer<typeof KeptVisit>["checklist"]> {
  const [kept] = await tx<{ visit: unknown }[]>`
    SELECT visit FROM visit_checklist WHERE account_id = current_account() AND visit_id = ${visitId}`;
  if (kept) return KeptVisit.parse(kept.visit).checklist;
  const [queued] = await queuedVisits(tx, [visitId]);
  return queued?.checklist ?? [];
}

/**
 * The report of a visit: everything that was written of it so far, signed or not.
 * @throws AppError `not_found` when nobody wrote anything of such a visit
 */
export async function readVisitReport(actor: Actor, visitId: string, madeAt: number): Promise<VisitSheet> {
  authorise(actor, "visits.read");
  const found = await readTransaction(actor, async (tx) => {
    const edits = await visitEdits(tx, { visitId });
    const photos = await visitPhotos(tx, { visitId });
    const [row] = await tx<{ site_id: string }[]>`
      SELECT site_id FROM visit_edit WHERE account_id = current_account() AND visit_id = ${visitId}
      UNION ALL SELECT site_id FROM visit_photo WHERE account_id = current_account() AND visit_id = ${visitId} LIMIT 1`;
    const records = row ? (await siteRecords(tx, [row.site_id])).get(row.site_id) : undefined;
    return records
      ? { records, edits, photos, checklist: await askedOf(tx, visitId), units: await readerUnits(tx, actor) }
      : null;
  });
  if (!found)
    throw new AppError("not_found", { message: `Nothing is written of a visit "${visitId}", so there is no report.` });
  const photos = [];
  // One after the other: a visit may have many, and each is read whole.
  for (const photo of found.photos) photos.push({ ...photo, jpeg: await printablePhoto(photo.sha256) });
  return visitReportSheet({ ...found, photos, visitId, site: visitedSite(found.records.site) }, madeAt);
}

/** A visit's paper as a PDF to look at or to keep. */
export async function visitPaper(
  actor: Actor,
  paper: "checklist" | "report",
  visitId: string,
  madeAt: number,
): Promise<Response> {
  authorise(actor, "visits.read");
  const read = paper === "checklist" ? readChecklistSheet : readVisitReport;
  const bytes = await drawVisitSheet(await read(actor, visitId, madeAt));
  const name = `${paper}-${visitId.replace(/[^\w.-]+/g, "_")}.pdf`;
  return new Response(Buffer.from(bytes), {
    headers: {
      "content-type": "application/pdf",
      "content-disposition": `inline; filename="${name}"`,
      "cache-control": "no-store",
    },
  });
}

/** Visits with a report, the latest first; of one site, or of all. */
export async function readWrittenVisits(actor: Actor, siteId: string | null, most = 50): Promise<WrittenVisit[]> {
  authorise(actor, "visits.read");
  return readTransaction(actor, async (tx) => {
    const rows = await tx<
      { visit_id: string; site_id: string; name: string; from: Date; to: Date; entries: number; signed: boolean }[]
    >`
      SELECT e.visit_id, e.site_id, s.name, min(e.written_at) AS "from", max(e.written_at) AS "to",
        count(*)::int AS entries, bool_or(e.item = 'visit' AND e.field = 'signed' AND e.value <> '') AS signed
      FROM visit_edit e JOIN site s USING (account_id, site_id)
      WHERE e.account_id = current_account() ${siteId === null ? tx`` : tx`AND e.site_id = ${siteId}`}
      GROUP BY e.visit_id, e.site_id, s.name ORDER BY max(e.written_at) DESC, e.visit_id LIMIT ${most}`;
    return rows.map((row) => ({
      visitId: row.visit_id,
      siteId: row.site_id,
      siteName: row.name,
      from: row.from.toISOString(),
      to: row.to.toISOString(),
      entries: row.entries,
      signed: row.signed,
    }));
  });
}
