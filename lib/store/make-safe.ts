import { z } from "zod";
import type { IsolationSpan } from "../core/records.ts";
import { type MakeSafeEvent, type MakeSafeProgress, makeSafeProgress, TEST_RESULTS } from "../visit/make-safe-state.ts";
import type { Sql } from "./transaction.ts";

const Result = z.enum(TEST_RESULTS);
const By = { at: z.number(), by: z.string() };
const Text = z.string().default("");

/** An event as stored: kind, time and name in columns, the rest in `detail`. */
export const StoredEvent = z.discriminatedUnion("kind", [
  z.object({ kind: z.literal("alert"), at: z.number() }),
  z.object({ kind: z.literal("acknowledged"), ...By }),
  z.object({
    ...{ kind: z.literal("owner_told"), ...By, whom: z.string(), means: z.string() },
    ...{ keepOff: z.boolean(), noReset: z.boolean() },
  }),
  z.object({ kind: z.literal("isolated"), ...By, lock: z.string(), photo: z.string() }),
  z.object({
    ...{ kind: z.literal("repaired"), ...By, cause: z.string(), action: z.string() },
    ...{ sectionId: z.string().nullable(), inverterId: z.string().nullable(), confirmed: z.boolean() },
    repairedAt: z.number().nullable(),
  }),
  z.object({ kind: z.literal("tested"), ...By, continuity: Result, insulation: Result, surface: Text, readings: Text }),
  z.object({ kind: z.literal("authorised"), ...By, licence: z.string(), qualified: z.boolean() }),
  z.object({ kind: z.literal("watched"), at: z.number() }),
  z.object({ kind: z.literal("hazard"), at: z.number(), says: z.string() }),
  z.object({ kind: z.literal("escalated"), at: z.number(), unanswered: z.string(), asked: z.string() }),
  z.object({
    ...{ kind: z.literal("released"), ...By, reason: z.string() },
    ...{ licence: z.string(), qualified: z.boolean() },
  }),
]) satisfies z.ZodType<MakeSafeEvent>;
export type StoredEvent = z.infer<typeof StoredEvent>;

export interface StoredMakeSafe {
  makeSafeId: string;
  siteId: string;
  openedAt: number;
  openedBy: "measurement" | "queue";
  reason: string;
  covers: string[];
  closedAt: number | null;
  events: StoredEvent[];
}

interface Row {
  make_safe_id: string;
  site_id: string;
  opened_at: Date;
  opened_by: StoredMakeSafe["openedBy"];
  reason: string;
  covers: string[];
  closed_at: Date | null;
}

/** make_safes with their events, newest first. @param which open ones of every site or of some, or all of some sites */
export async function makeSafes(
  tx: Sql,
  which: { siteId: string } | { siteIds: readonly string[] } | { openAt: readonly string[] } | "open",
): Promise<StoredMakeSafe[]> {
  const wanted =
    which === "open"
      ? tx`closed_at IS NULL`
      : "openAt" in which
        ? tx`closed_at IS NULL AND site_id = ANY(${[...which.openAt]})`
        : tx`site_id = ANY(${"siteIds" in which ? [...which.siteIds] : [which.siteId]})`;
  const rows = await tx<Row[]>`
    SELECT make_safe_id, site_id, opened_at, opened_by, reason, covers, closed_at FROM make_safe
    WHERE account_id = current_account() AND ${wanted} ORDER BY opened_at DESC, make_safe_id`;
  const events = await eventsOf(
    tx,
    rows.map((row) => row.make_safe_id),
  );
  return rows.map((row) => ({
    ...{ makeSafeId: row.make_safe_id, siteId: row.site_id, openedAt: row.opened_at.getTime() },
    ...{ openedBy: row.opened_by, reason: row.reason, covers: row.covers, closedAt: row.closed_at?.getTime() ?? null },
    events: events.get(row.make_safe_id) ?? [],
  }));
}

async function eventsOf(tx: Sql, ids: string[]): Promise<Map<string, StoredEvent[]>> {
  const out = new Map<string, StoredEvent[]>();
  if (ids.length === 0) return out;
  const rows = await tx<{ id: string; kind: string; at: Date; by: string; detail: object }[]>`
    SELECT make_safe_id AS id, kind, happened_at AS at, done_by AS by, detail FROM make_safe_event
    WHERE account_id = current_account() AND make_safe_id = ANY(ARRAY(SELECT unnest(${ids}::text[]))) ORDER BY make_safe_id, seq`;
  for (const { id, kind, at, by, detail } of rows) {
    const list = out.get(id) ?? [];
    list.push(StoredEvent.parse({ ...detail, kind, by, at: at.getTime() }));
    out.set(id, list);
  }
  return out;
}

export const progressOf = ({ events }: StoredMakeSafe, now: number): MakeSafeProgress => makeSafeProgress(events, now);

/** When each site was locked out; sites that never were are absent. */
export async function isolationSpans(tx: Sql, siteIds: string[]): Promise<Map<string, IsolationSpan[]>> {
  const rows = await tx<{ site_id: string; from: Date; to: Date | null }[]>`
    SELECT m.site_id, min(e.happened_at) FILTER (WHERE e.kind = 'isolated') AS "from",
      min(e.happened_at) FILTER (WHERE e.kind IN ('authorised', 'released')) AS "to"
    FROM make_safe m JOIN make_safe_event e USING (account_id, make_safe_id)
    WHERE m.account_id = current_account() AND m.site_id = ANY(${siteIds})
    GROUP BY m.site_id, m.make_safe_id HAVING bool_or(e.kind = 'isolated') ORDER BY m.site_id, 2`;
  const out = new Map<string, IsolationSpan[]>();
  for (const { site_id, from, to } of rows) {
    const list = out.get(site_id) ?? [];
    list.push({ from: from.getTime(), to: to?.getTime() ?? null });
    out.set(site_id, list);
  }
  return out;
}

/** Since when sites are locked out now, by site. */
export async function isolatedNow(tx: Sql): Promise<Map<string, number>> {
  const out = new Map<string, number>();
  for (const one of await makeSafes(tx, "open")) {
    const { isolatedFrom, isolatedTo } = progressOf(one, Date.now());
    if (isolatedFrom !== null && isolatedTo === null) out.set(one.siteId, isolatedFrom);
  }
  return out;
}

/** One decision on the emergency of a site at a time. */
export const lockMakeSafe = (tx: Sql, siteId: string): Promise<void> => lockMakeSafes(tx, [siteId]);

/** The same for several sites: in one order everywhere, so that nobody waits for one who waits for them. */
export async function lockMakeSafes(tx: Sql, siteIds: readonly string[]): Promise<void> {
  const inOrder = [...new Set(siteIds)].sort();
  await tx`SELECT pg_advisory_xact_lock(hashtextextended('make_safe/' || current_account() || '/' || site_id, 0))
    FROM unnest(${inOrder}::text[]) WITH ORDINALITY AS asked(site_id, place) ORDER BY place`;
}

export interface NewEvent {
  makeSafeId: string;
  kind: StoredEvent["kind"];
  by: string;
  detail: object;
}

/** Write an event; its time is the server's. */
export const addEvent = (
  tx: Sql,
  makeSafeId: string,
  kind: StoredEvent["kind"],
  by: string,
  detail: object,
): Promise<void> => addEvents(tx, [{ makeSafeId, kind, by, detail }]);

/** Write events, one of each make_safe, in one statement. */
export async function addEvents(tx: Sql, events: readonly NewEvent[]): Promise<void> {
  if (events.length === 0) return;
  await tx`INSERT INTO make_safe_event (account_id, make_safe_id, seq, kind, done_by, detail)
    SELECT current_account(), new.id, coalesce((SELECT max(seq) FROM make_safe_event e
      WHERE e.account_id = current_account() AND e.make_safe_id = new.id), 0) + 1, new.kind, new.by, new.detail::jsonb
    FROM unnest(${events.map((e) => e.makeSafeId)}::text[], ${events.map((e) => e.kind)}::text[], ${events.map((e) => e.by)}::text[],
      ${events.map((e) => JSON.stringify(e.detail))}::text[]) AS new(id, kind, by, detail)`;
}

export const closeMakeSafe = (tx: Sql, makeSafeId: string): Promise<void> => closeMakeSafes(tx, [makeSafeId]);

export async function closeMakeSafes(tx: Sql, makeSafeIds: readonly string[]): Promise<void> {
  if (makeSafeIds.length === 0) return;
  await tx`UPDATE make_safe SET closed_at = clock_timestamp()
    WHERE account_id = current_account() AND make_safe_id = ANY(${[...makeSafeIds]}) AND closed_at IS NULL`;
}

export interface AuditEntry {
  action: string;
  subject: string;
  detail: object;
}

export const audit = (tx: Sql, action: string, subject: string, detail: object): Promise<void> =>
  auditEach(tx, [{ action, subject, detail }]);

/** An entry each, in this order, by one statement. */
export async function auditEach(tx: Sql, entries: readonly AuditEntry[]): Promise<void> {
  if (entries.length === 0) return;
  await tx`SELECT audit_append(action, subject, detail::jsonb)
    FROM (SELECT * FROM unnest(${entries.map((e) => e.action)}::text[], ${entries.map((e) => e.subject)}::text[],
      ${entries.map((e) => JSON.stringify(e.detail))}::text[]) WITH ORDINALITY AS new(action, subject, detail, place)
      ORDER BY place OFFSET 0) AS entry`;
}

export interface DutyPerson {
  name: string;
  phone: string;
}

/** Who answers alerts, in the order in which they are asked. */
export async function dutyPeople(tx: Sql): Promise<DutyPerson[]> {
  const rows = await tx<
    DutyPerson[]
  >`SELECT name, phone FROM duty_person WHERE account_id = current_account() ORDER BY place`;
  return rows.map(({ name, phone }) => ({ name, phone }));
}
