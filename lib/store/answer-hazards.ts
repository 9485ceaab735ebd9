import {
  type AuditEntry,
  addEvents,
  auditEach,
  closeMakeSafes,
  dutyPeople,
  lockMakeSafes,
  makeSafes,
  type NewEvent,
  progressOf,
  type StoredMakeSafe,
} from "./make-safe.ts";
import { addAlerts, type NewAlert } from "./outbox.ts";
import type { Sql } from "./transaction.ts";

export interface Hazard {
  siteId: string;
  openedBy: StoredMakeSafe["openedBy"];
  reason: string;
  /** Keys of the findings behind it. */
  covers: string[];
}

/**
 * Answer for findings at a site. The make_safe that is open takes them in, and what was measured anew throws it back to
 * the repair; one on watch ends, and a new one is opened with its alert. Findings that were answered for before open
 * nothing. Logged by itself, because it may happen inside other writes.
 * @returns the id of the one that answers; null: all were answered for before
 */
export async function answerHazard(tx: Sql, hazard: Hazard): Promise<string | null> {
  return (await answerHazards(tx, [hazard])).get(hazard.siteId) ?? null;
}

/**
 * The same for several sites at once, by as many statements as for one; each leaves its own rows, alert and entry in the log.
 * @param hazards one a site
 * @returns the ids of those that answer, by site; sites whose findings were answered for before are absent
 */
export async function answerHazards(tx: Sql, hazards: readonly Hazard[]): Promise<Map<string, string>> {
  const out = new Map<string, string>();
  if (hazards.length === 0) return out;
  const siteIds = hazards.map((one) => one.siteId);
  await lockMakeSafes(tx, siteIds);
  const known = bySite(await makeSafes(tx, { siteIds }));
  const [first] = await dutyPeople(tx);
  const now = Date.now();
  const taken: { id: string; covers: string[] }[] = [];
  const opened: { id: string; hazard: Hazard; fresh: string[] }[] = [];
  const closed: string[] = [];
  const events: NewEvent[] = [];
  const alerts: NewAlert[] = [];
  const entries: AuditEntry[] = [];
  for (const hazard of hazards) {
    const { siteId, openedBy, reason, covers } = hazard;
    const own = known.get(siteId) ?? [];
    const fresh = covers.filter((key) => !own.some((one) => one.covers.includes(key)));
    if (fresh.length === 0) continue;
    const open = own.find((one) => one.closedAt === null);
    if (open && progressOf(open, now).step !== "authorised") {
      const id = open.makeSafeId;
      taken.push({ id, covers: [...open.covers, ...fresh] });
      if (openedBy === "measurement") events.push({ makeSafeId: id, kind: "hazard", by: "", detail: { says: reason } });
      entries.push({ action: "make_safe.hazard", subject: id, detail: { siteId, reason } });
      out.set(siteId, id);
      continue;
    }
    if (open) closed.push(open.makeSafeId);
    const id = `make-safe-${own.length + 1}-${siteId}`;
    opened.push({ id, hazard, fresh });
    events.push({ makeSafeId: id, kind: "alert", by: "", detail: {} });
    const detail = { siteId, makeSafeId: id, says: reason, asked: first?.name ?? "" };
    alerts.push({ kind: "make_safe", subject: id, detail });
    entries.push({ action: "make_safe.open", subject: id, detail: { siteId, reason, openedBy } });
    out.set(siteId, id);
  }
  await setCovers(tx, taken);
  await closeMakeSafes(tx, closed);
  await openAll(tx, opened);
  await addEvents(tx, events);
  await addAlerts(tx, alerts);
  await auditEach(tx, entries);
  return out;
}

function bySite(all: readonly StoredMakeSafe[]): Map<string, StoredMakeSafe[]> {
  const out = new Map<string, StoredMakeSafe[]>();
  for (const one of all) {
    const own = out.get(one.siteId);
    if (own) own.push(one);
    else out.set(one.siteId, [one]);
  }
  return out;
}

/** Set which findings make_safes answer for. */
export async function setCovers(tx: Sql, list: readonly { id: string; covers: string[] }[]): Promise<void> {
  if (list.length === 0) return;
  await tx`UPDATE make_safe m SET covers = new.covers::jsonb
    FROM unnest(${list.map((one) => one.id)}::text[], ${list.map((one) => JSON.stringify(one.covers))}::text[]) AS new(id, covers)
    WHERE m.account_id = current_account() AND m.make_safe_id = new.id`;
}

async function openAll(tx: Sql, list: readonly { id: string; hazard: Hazard; fresh: string[] }[]): Promise<void> {
  if (list.length === 0) return;
  await tx`INSERT INTO make_safe (account_id, make_safe_id, site_id, opened_by, reason, covers)
    SELECT current_account(), id, site_id, opened_by, reason, covers::jsonb
    FROM unnest(${list.map((one) => one.id)}::text[], ${list.map((one) => one.hazard.siteId)}::text[],
      ${list.map((one) => one.hazard.openedBy)}::text[], ${list.map((one) => one.hazard.reason)}::text[],
      ${list.map((one) => JSON.stringify(one.fresh))}::text[]) AS new(id, site_id, opened_by, reason, covers)`;
}
