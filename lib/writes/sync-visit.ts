import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { specByName } from "../ingest/identify.ts";
import { importFile } from "../ingest/import-file.ts";
import { accountRecords } from "../ingest/known-records.ts";
import type { Reject } from "../ingest/row-parser.ts";
import { wakeScoring } from "../jobs/wake-worker.ts";
import type { Actor } from "../store/actor.ts";
import { type Sql, writeTransaction } from "../store/transaction.ts";
import { standingStops } from "../visit/stop-rule.ts";
import type { VisitEdit } from "../visit/visit-edits.ts";
import {
  type ContractRow,
  inspectionRows,
  mergedVisit,
  repairRows,
  signedAt,
  stopEdits,
  voltReadings,
} from "../visit/visit-records.ts";

const Text = z
  .string()
  .max(10_000)
  .refine((text) => !text.includes("\u0000"), "holds a character that cannot be stored");
const Name = z.string().trim().min(1).max(300);
export const SyncVisitBody = z.object({
  visitId: Name,
  siteId: Name,
  edits: z
    .array(
      z.object({
        ...{ edit_id: z.uuid(), visit_id: Name, item: Name, field: Name, value: Text },
        ...{ at: z.number().int().min(0).max(4e12), by: Name, device: Name },
        seq: z.number().int().min(0).max(2_000_000_000),
      }),
    )
    .max(500),
});

export interface SyncedVisit {
  /** Ids that the server now holds; the phone may take them off its queue. */
  received: string[];
  /** Every edit of the visit, also other phones'. */
  edits: VisitEdit[];
  conflicts: { item: string; field: string; values: { by: string; value: string }[] }[];
  stopStands: boolean;
  /** Rows that could not become records; the edits themselves are kept. */
  notTaken: { column: string; value: string; reason: string }[];
}

/**
 * Receive what a phone wrote. Anything may be sent twice, late or out of order. A stop reading becomes an inspection
 * and an alert at once; the rest becomes inspections and repairs when the visit is signed.
 * @throws AppError `not_found` for an unknown site, `conflict` when the visit belongs to another site
 */
export async function syncVisit(actor: Actor, body: z.infer<typeof SyncVisitBody>): Promise<SyncedVisit> {
  authorise(actor, "visit.write");
  const { visitId, siteId } = body;
  if (body.edits.some((edit) => edit.visit_id !== visitId))
    throw new AppError("wrong_use", { message: "An edit names another visit than the batch it came in." });
  const synced = await writeTransaction(actor, async (tx) => {
    await tx`SELECT pg_advisory_xact_lock(hashtextextended('visit/' || current_account() || '/' || ${visitId}, 0))`;
    await checkSite(tx, visitId, siteId);
    const added = await addEdits(tx, siteId, body.edits);
    const edits = await editsOf(tx, visitId);
    // Also when all of it was here before: the reply that told what was not taken may have been lost.
    const notTaken = body.edits.length > 0 ? await makeRecords(tx, { visitId, siteId, edits, isNew: added > 0 }) : [];
    const conflicts = mergedVisit(edits).filter((one) => one.conflict);
    const stopStands = standingStops(voltReadings(edits)).length > 0;
    const received = body.edits.map((edit) => edit.edit_id);
    const note = { action: "visit.sync", subject: visitId, detail: { siteId, added, sent: received.length } };
    return { result: { received, edits, conflicts, stopStands, notTaken }, note: added > 0 ? note : null };
  });
  // The worker's own round finds the stale score too; this only makes it sooner.
  await wakeScoring(actor.accountId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
  return synced;
}

export async function checkSite(tx: Sql, visitId: string, siteId: string): Promise<void> {
  const site = await tx`SELECT 1 FROM site WHERE account_id = current_account() AND site_id = ${siteId}`;
  if (site.length === 0) throw new AppError("not_found", { message: `There is no site "${siteId}".` });
  const other = await tx`
    SELECT 1 FROM visit WHERE account_id = current_account() AND visit_id = ${visitId} AND site_id <> ${siteId}
    UNION ALL
    SELECT 1 FROM visit_edit WHERE account_id = current_account() AND visit_id = ${visitId} AND site_id <> ${siteId}`;
  if (other.length > 0)
    throw new AppError("conflict", { message: `Visit "${visitId}" belongs to another site than "${siteId}".` });
}

async function addEdits(tx: Sql, siteId: string, edits: readonly VisitEdit[]): Promise<number> {
  if (edits.length === 0) return 0;
  const rows = edits.map((edit) => ({ ...edit, at: new Date(edit.at).toISOString() }));
  const added = await tx`
    INSERT INTO visit_edit (account_id, edit_id, visit_id, site_id, item, field, value, written_at, written_by, device, seq)
    SELECT current_account(), edit_id, visit_id, ${siteId}, item, field, value, at, by, device, seq
    FROM jsonb_to_recordset(${tx.json(rows as never)})
      AS r(edit_id uuid, visit_id text, item text, field text, value text, at timestamptz, by text, device text, seq integer)
    ON CONFLICT (account_id, edit_id) DO NOTHING`;
  return added.count;
}

export async function editsOf(tx: Sql, visitId: string): Promise<VisitEdit[]> {
  const rows = await tx<(Omit<VisitEdit, "at"> & { at: Date })[]>`
    SELECT edit_id, visit_id, item, field, value, written_at AS at, written_by AS by, device, seq
    FROM visit_edit WHERE account_id = current_account() AND visit_id = ${visitId} ORDER BY device, seq, edit_id`;
  return rows.map((row) => ({ ...row, at: row.at.getTime() }));
}

interface Whole {
  visitId: string;
  siteId: string;
  edits: VisitEdit[];
  /** Something was added since the records were last made. */
  isNew: boolean;
}

async function makeRecords(tx: Sql, { visitId, siteId, edits, isNew }: Whole): Promise<SyncedVisit["notTaken"]> {
  const notTaken = [
    ...(await upsert(tx, "inspections.csv", inspectionRows(siteId, edits))),
    ...(await upsert(tx, "repairs.csv", repairRows(siteId, edits))),
  ];
  for (const edit of stopEdits(edits)) {
    const detail = { visitId, siteId, item: edit.item, reading: edit.value, by: edit.by, at: edit.at };
    await tx`INSERT INTO outbox_alert (account_id, kind, subject, detail)
      VALUES (current_account(), 'stop_reading', ${`${siteId}/${edit.edit_id}`}, ${tx.json(detail)})
      ON CONFLICT (account_id, kind, subject) DO NOTHING`;
  }
  const signed = signedAt(edits);
  if (isNew && signed !== null && standingStops(voltReadings(edits)).length === 0) {
    const at = new Date(signed);
    await tx`INSERT INTO visit AS t (account_id, visit_id, site_id, promised_from, promised_to, crew_id, status)
      VALUES (current_account(), ${visitId}, ${siteId}, ${at}, ${at}, nullif(current_setting('raintrip.crew', true), ''), 'done')
      ON CONFLICT (account_id, visit_id) DO UPDATE SET status = 'done', promised_to = excluded.promised_to`;
    await tx`UPDATE site SET revision = revision + 1 WHERE account_id = current_account() AND site_id = ${siteId}`;
  }
  return notTaken;
}

/** Rows into their table exactly as an import of a file with these columns would bring them. */
async function upsert(tx: Sql, file: string, rows: readonly ContractRow[]): Promise<SyncedVisit["notTaken"]> {
  const spec = specByName(file);
  if (!spec || rows.length === 0) return [];
  const header = [...new Set(rows.flatMap((row) => Object.keys(row)))];
  const batch = rows.map((row, i) => ({ line: i + 2, cells: header.map((name) => row[name] ?? "") }));
  const rejects: Reject[] = [];
  await tx`DROP TABLE IF EXISTS import_staging`;
  await importFile(tx, {
    ...{ spec, header, known: await accountRecords(tx), defaults: {} },
    batches: (async function* () {
      yield batch;
    })(),
    setAside: async (found) => {
      rejects.push(...found);
    },
    onRows: () => {},
    onMerge: () => {},
  });
  return rejects.map(({ column, value, reason }) => ({ column, value, reason }));
}
