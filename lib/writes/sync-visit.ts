import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { wakeScoring } from "../jobs/wake-worker.ts";
import type { Actor } from "../store/actor.ts";
import { answerHazard } from "../store/answer-hazards.ts";
import { addAlert } from "../store/outbox.ts";
import { type Sql, writeTransaction } from "../store/transaction.ts";
import { visitEdits, visitPhotos } from "../store/visit-log.ts";
import { sayStop } from "../visit/say-stop.ts";
import { signOffOf } from "../visit/signature.ts";
import { standingStops } from "../visit/stop-rule.ts";
import type { VisitEdit } from "../visit/visit-edits.ts";
import { inspectionRows, repairRows, sharedFields, signedAt, stopEdits, voltReadings } from "../visit/visit-records.ts";
import { whyOpen } from "../visit/why-open.ts";
import { type NotTaken, upsertContractRows } from "./contract-rows.ts";

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
  /** A stop of this visit stands. */
  stopStands: boolean;
  /** Stops that stand at the site, from whatever visit, each as a sentence. */
  stops: string[];
  /** Why a visit that somebody signed is not closed, with what to do; null: it is closed, or nobody signed. */
  whyOpen: string | null;
  /** Rows that could not become records; the edits themselves are kept. */
  notTaken: NotTaken[];
}

/**
 * Receive what a phone wrote. Anything may be sent twice, late or out of order. A stop reading becomes an inspection
 * and an alert at once; the rest becomes inspections and repairs when the visit is signed. A visit closes only by a
 * signature for the record as it stands, and not while a stop stands at the site: what was written is kept and made
 * into records all the same.
 * @throws AppError `not_found` for an unknown site, `conflict` when the visit belongs to another site
 */
export async function syncVisit(actor: Actor, body: z.infer<typeof SyncVisitBody>): Promise<SyncedVisit> {
  authorise(actor, "visit.write");
  const { visitId, siteId } = body;
  if (body.edits.some((edit) => edit.visit_id !== visitId))
    throw new AppError("wrong_use", { message: "An edit names another visit than the batch it came in." });
  const synced = await writeTransaction(actor, async (tx) => {
    await tx`SELECT pg_advisory_xact_lock(hashtextextended('visit/' || current_account() || '/' || ${visitId}, 0))`;
    // Two visits of one site, too: a stop that one writes has to be seen by the signature that would close the other.
    await tx`SELECT pg_advisory_xact_lock(hashtextextended('site_visits/' || current_account() || '/' || ${siteId}, 0))`;
    await checkSite(tx, visitId, siteId);
    const added = await addEdits(tx, siteId, body.edits);
    const edits = await visitEdits(tx, { visitId });
    // Also when all of it was here before: the reply that told what was not taken may have been lost.
    const notTaken = body.edits.length > 0 ? await makeRecords(tx, { visitId, siteId, edits }) : [];
    const stops = standingStops(voltReadings(await visitEdits(tx, { siteId }))).map(sayStop);
    const open = whyOpen(signOffOf(edits), stops);
    if (body.edits.length > 0) await closeOrOpen(tx, { visitId, siteId, edits }, open);
    const conflicts = sharedFields(edits).filter((one) => one.conflict);
    const stopStands = standingStops(voltReadings(edits)).length > 0;
    const received = body.edits.map((edit) => edit.edit_id);
    const note = { action: "visit.sync", subject: visitId, detail: { siteId, added, sent: received.length } };
    const result = { received, edits, conflicts, stopStands, stops, whyOpen: open, notTaken };
    return { result, note: added > 0 ? note : null };
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

interface Whole {
  visitId: string;
  siteId: string;
  edits: VisitEdit[];
}

/** Most photos named in one record: as many as its column holds. */
const MOST_PHOTOS = 50;

/** Records of a visit from all its edits and photos; the same again changes nothing. */
export async function makeRecords(tx: Sql, { visitId, siteId, edits }: Whole): Promise<NotTaken[]> {
  const photosOf = new Map<string, string[]>();
  for (const { item, photoId } of await visitPhotos(tx, { visitId })) {
    const own = photosOf.get(item) ?? [];
    if (own.length < MOST_PHOTOS) photosOf.set(item, [...own, photoId]);
  }
  const notTaken = [
    ...(await upsertContractRows(tx, "inspections.csv", inspectionRows(siteId, edits, photosOf))),
    ...(await upsertContractRows(tx, "repairs.csv", repairRows(siteId, edits))),
  ];
  for (const edit of stopEdits(edits)) {
    const [stop] = voltReadings([edit]);
    const says = stop ? sayStop(stop) : "";
    const detail = { visitId, siteId, item: edit.item, reading: edit.value, by: edit.by, at: edit.at, says };
    await addAlert(tx, "stop_reading", `${siteId}/${edit.edit_id}`, detail);
    await answerHazard(tx, { siteId, openedBy: "measurement", reason: says, covers: [`stop/${edit.edit_id}`] });
  }
  return notTaken;
}

/** A visit is done by a signature that stands; one that was done is open again when its record changed since. */
async function closeOrOpen(tx: Sql, { visitId, siteId, edits }: Whole, open: string | null): Promise<void> {
  const signed = signedAt(edits);
  if (signed === null) return;
  const at = new Date(signed);
  const changed =
    open === null
      ? await tx`INSERT INTO visit AS t (account_id, visit_id, site_id, promised_from, promised_to, crew_id, status)
          VALUES (current_account(), ${visitId}, ${siteId}, ${at}, ${at}, nullif(current_setting('raintrip.crew', true), ''), 'done')
          ON CONFLICT (account_id, visit_id) DO UPDATE SET status = 'done', promised_to = excluded.promised_to
          WHERE t.status IS DISTINCT FROM 'done' OR t.promised_to IS DISTINCT FROM excluded.promised_to`
      : await tx`UPDATE visit SET status = 'planned'
          WHERE account_id = current_account() AND visit_id = ${visitId} AND status = 'done'`;
  if (changed.count > 0)
    await tx`UPDATE site SET revision = revision + 1 WHERE account_id = current_account() AND site_id = ${siteId}`;
}
