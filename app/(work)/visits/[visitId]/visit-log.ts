"use client";

import { type DBSchema, type IDBPDatabase, openDB } from "idb";
import { VISIT_LOG } from "@/app/_words/visit.ts";
import type { VisitEdit } from "@/lib/visit/visit-edits.ts";

/** 1: waits to be sent. IndexedDB indexes no booleans. */
type Waiting = 0 | 1;

export interface HeldPhoto {
  photo_id: string;
  visit_id: string;
  site_id: string;
  item: string;
  picture: Blob;
  taken_at: number | null;
  position: { latitude: number; longitude: number } | null;
  waiting: Waiting;
  /** Why the server will not have it; it stays on this phone. */
  refused?: string;
}

interface Schema extends DBSchema {
  edits: {
    key: string;
    value: { edit_id: string; site_id: string; edit: VisitEdit; waiting: Waiting };
    indexes: { waiting: number };
  };
  photos: { key: string; value: HeldPhoto; indexes: { waiting: number } };
  own: { key: string; value: string | number };
}

let opened: Promise<IDBPDatabase<Schema>> | undefined;
function store(): Promise<IDBPDatabase<Schema>> {
  opened ??= openDB<Schema>("raintrip-visits", 1, {
    upgrade(db) {
      db.createObjectStore("edits", { keyPath: "edit_id" }).createIndex("waiting", "waiting");
      db.createObjectStore("photos", { keyPath: "photo_id" }).createIndex("waiting", "waiting");
      db.createObjectStore("own");
    },
  });
  return opened;
}

export const ownSetting = async (name: string): Promise<string> =>
  String((await (await store()).get("own", name)) ?? "");
export const keepOwnSetting = async (name: string, value: string): Promise<unknown> =>
  (await store()).put("own", value, name);

/**
 * Put what was written into the phone's store, with its place in this phone's order. It waits until the server has it.
 * @throws Error when this phone keeps nothing
 */
export async function writeEdit(siteId: string, edit: VisitEdit): Promise<void> {
  const tx = (await store()).transaction(["edits", "own"], "readwrite");
  const own = tx.objectStore("own");
  const device = String((await own.get("device")) ?? crypto.randomUUID());
  const seq = Number((await own.get("seq")) ?? 0) + 1;
  await own.put(device, "device");
  await own.put(seq, "seq");
  const whole = { ...edit, device, seq };
  await tx.objectStore("edits").put({ edit_id: whole.edit_id, site_id: siteId, edit: whole, waiting: 1 });
  await tx.done;
}

export async function holdPhoto(photo: Omit<HeldPhoto, "photo_id" | "waiting">): Promise<void> {
  await (await store()).put("photos", { ...photo, photo_id: crypto.randomUUID(), waiting: 1 });
}

/** A row that the server could not take among the records. What was written stays in the log. */
export interface NotTaken {
  column: string;
  value: string;
  reason: string;
}

export interface KeptLog {
  edits: VisitEdit[];
  photos: HeldPhoto[];
  waiting: number;
  notTaken: NotTaken[];
  /** The server's word on a visit that is signed and not closed; null: none was given. */
  whyOpen: string | null;
}

const whyOpenKey = (visitId: string) => `why open/${visitId}`;
const notTakenKey = (visitId: string) => `not taken/${visitId}`;

export async function visitLog(visitId: string): Promise<KeptLog> {
  const db = await store();
  const edits = (await db.getAll("edits")).map((row) => row.edit).filter((edit) => edit.visit_id === visitId);
  const photos = (await db.getAll("photos")).filter((photo) => photo.visit_id === visitId);
  const waiting = (await db.countFromIndex("edits", "waiting", 1)) + (await db.countFromIndex("photos", "waiting", 1));
  const notTaken = JSON.parse((await ownSetting(notTakenKey(visitId))) || "[]") as NotTaken[];
  return { edits, photos, waiting, notTaken, whyOpen: (await ownSetting(whyOpenKey(visitId))) || null };
}

/** Most edits in one request; the server takes 500. */
const BATCH = 200;

/**
 * Send what waits, in this phone's order, then the photos. What the server has confirmed is never sent again, and a
 * reply that got lost only means that the server sees the same ids twice.
 * @throws Error with the server's sentence; what was not confirmed goes on waiting
 */
export async function sendWaiting(): Promise<void> {
  const db = await store();
  const rows = (await db.getAllFromIndex("edits", "waiting", 1)).sort((a, b) => a.edit.seq - b.edit.seq);
  const visits = new Map<string, typeof rows>();
  for (const row of rows) visits.set(row.edit.visit_id, [...(visits.get(row.edit.visit_id) ?? []), row]);
  for (const [visitId, own] of visits) {
    for (let from = 0; from < own.length; from += BATCH) {
      const part = own.slice(from, from + BATCH);
      await exchange(
        visitId,
        part[0]?.site_id ?? "",
        part.map((row) => row.edit),
      );
    }
  }
  for (const photo of await db.getAllFromIndex("photos", "waiting", 1)) await sendPhoto(photo);
}

/** Send edits as they are, without the phone's store. */
export async function sendEdits(visitId: string, siteId: string, edits: VisitEdit[]) {
  const answer = await fetch("/api/visits/sync", {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ visitId, siteId, edits }),
  });
  return (await reply(answer)) as {
    received: string[];
    edits: VisitEdit[];
    notTaken: NotTaken[];
    whyOpen: string | null;
  };
}

/** Send edits of one visit and take in what other phones wrote. */
export async function exchange(visitId: string, siteId: string, edits: VisitEdit[]): Promise<void> {
  const said = await sendEdits(visitId, siteId, edits);
  // Told only in answer to edits, and always of the whole visit.
  if (edits.length > 0) await keepOwnSetting(notTakenKey(visitId), JSON.stringify(said.notTaken));
  await keepOwnSetting(whyOpenKey(visitId), said.whyOpen ?? "");
  const tx = (await store()).transaction("edits", "readwrite");
  const got = new Set(said.received);
  for (const edit of said.edits) {
    const held = await tx.store.get(edit.edit_id);
    if (!held || got.has(edit.edit_id))
      await tx.store.put({ edit_id: edit.edit_id, site_id: siteId, edit, waiting: 0 });
  }
  await tx.done;
}

async function sendPhoto(photo: HeldPhoto): Promise<void> {
  const { photo_id, visit_id, site_id, item } = photo;
  const query = new URLSearchParams({ photo_id, visit_id, site_id, item });
  if (photo.taken_at !== null) query.set("taken_at", String(photo.taken_at));
  if (photo.position) {
    query.set("latitude", String(photo.position.latitude));
    query.set("longitude", String(photo.position.longitude));
  }
  const answer = await fetch(`/api/visits/photos?${query}`, { method: "POST", body: photo.picture });
  // What the server will never take must not hold up the rest. It stays here, with the reason.
  const refused = NEVER_TAKEN.has(answer.status) ? await reply(answer).then(() => "", sentence) : "";
  if (!refused) await reply(answer);
  await (await store()).put("photos", { ...photo, waiting: 0, ...(refused ? { refused } : {}) });
}

/** Wrong file, too large: the same bytes will be answered the same. */
const NEVER_TAKEN: ReadonlySet<number> = new Set([400, 413]);
const sentence = (error: Error) => error.message;

async function reply(answer: Response): Promise<unknown> {
  const said = (await answer.json().catch(() => null)) as { error?: { message?: string } } | null;
  if (!answer.ok) throw new Error(said?.error?.message ?? VISIT_LOG.theServerAnswered(answer.status));
  return said;
}
