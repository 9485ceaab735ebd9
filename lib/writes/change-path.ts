import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import type { SiteRecords } from "../core/records.ts";
import { bondProblem, pieceInUse, pieceProblem, sectionBondProblem } from "../grounding/path-change.ts";
import { wakeScoring } from "../jobs/wake-worker.ts";
import type { Actor } from "../store/actor.ts";
import { siteRecords } from "../store/site-records.ts";
import { type Sql, writeTransaction } from "../store/transaction.ts";
import { PATH_TABLES, PATH_TARGETS, type PathFields, type PathTarget, parsedFields } from "./path-fields.ts";

const Fields = z.record(z.string().max(100), z.string().max(1000).nullable());
const Reason = z.string().trim().min(1, "say why").max(1000);

export const ChangePathBody = z.object({
  what: z.enum(PATH_TARGETS),
  /** Of the inverter, section, piece or bond; the site's own id for the site. */
  id: z
    .string()
    .trim()
    .min(1, "give it a short name")
    .max(200)
    .refine((id) => !id.includes("\u0000"), "holds a character that cannot be stored"),
  /** New values; null takes a piece or bond away. */
  set: Fields.nullable(),
  /** What the person saw of these fields before; null: there was no such piece or bond. Absent: not compared. */
  was: Fields.nullable().optional(),
  reason: Reason,
});
export const UndoPathBody = z.object({ seq: z.number().int().min(1), reason: Reason.optional() });

type Change = z.infer<typeof ChangePathBody> & { undoes?: number };

/** What an audit entry keeps of a change: enough to set it back. */
export const PathChangeDetail = z.object({
  what: z.enum(PATH_TARGETS),
  id: z.string(),
  before: Fields.nullable(),
  after: Fields.nullable(),
  reason: z.string(),
  undoes: z.number().optional(),
});
export type PathChangeDetail = z.infer<typeof PathChangeDetail>;

/**
 * Change what is recorded of a site's way to ground. The site is scored anew; the old values stay in the audit log.
 * @throws AppError `not_found`; `wrong_use` for what cannot be; `conflict` when the fields are not what the person saw
 */
export async function changePath(actor: Actor, siteId: string, change: Change): Promise<{ changed: string[] }> {
  authorise(actor, "path.write");
  const changed = await writeTransaction(actor, async (tx) => {
    const site = await tx`
      SELECT 1 FROM site WHERE account_id = current_account() AND site_id = ${siteId} FOR UPDATE`;
    if (site.length === 0) throw new AppError("not_found", { message: `There is no site "${siteId}".` });
    if (change.what === "site" && change.id !== siteId)
      throw new AppError("wrong_use", { message: `"${change.id}" is not this site.` });
    const detail = await applyChange(tx, siteId, change);
    if (!detail) return { result: [], note: null };
    await tx`UPDATE site SET revision = revision + 1 WHERE account_id = current_account() AND site_id = ${siteId}`;
    const names = Object.keys(detail.after ?? detail.before ?? {});
    return { result: names, note: { action: "path.change", subject: siteId, detail: { ...detail } } };
  });
  // The worker's own round finds the stale score too; this only makes it sooner.
  if (changed.length > 0)
    await wakeScoring(actor.accountId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
  return { changed };
}

/**
 * Set one change back: its fields get the values that they had before it.
 * @throws AppError `not_found`; `conflict` when they were changed again since
 */
export async function undoPathChange(
  actor: Actor,
  siteId: string,
  { seq, reason }: z.infer<typeof UndoPathBody>,
): Promise<{ changed: string[] }> {
  authorise(actor, "path.write");
  const row = await writeTransaction(actor, async (tx) => {
    const [found] = await tx<{ detail: unknown }[]>`SELECT detail FROM audit_entry
      WHERE account_id = current_account() AND seq = ${seq} AND action = 'path.change' AND subject = ${siteId}`;
    return { result: found, note: null };
  });
  if (!row) throw new AppError("not_found", { message: `Site "${siteId}" has no change number ${seq} of its path.` });
  const { what, id, before, after, reason: why } = PathChangeDetail.parse(row.detail);
  return changePath(actor, siteId, {
    ...{ what, id, set: before, was: after, undoes: seq },
    reason: reason ?? `Set back: ${why}`,
  });
}

/** @returns null when nothing would change */
async function applyChange(tx: Sql, siteId: string, change: Change): Promise<PathChangeDetail | null> {
  const { what, id, reason, undoes } = change;
  const own = what === "piece" || what === "bond";
  const now = await storedFields(tx, siteId, what, id);
  if (!own && now === null) throw new AppError("not_found", { message: `Site "${siteId}" has no ${what} "${id}".` });
  if (change.was !== undefined) compare(now, change.was, `${what} ${id}`);
  if (change.set === null && !own)
    throw new AppError("wrong_use", { message: `A ${what} comes from a file and cannot be taken away here.` });
  const set = change.set === null ? null : parsedFields(what, change.set);
  const records = (await siteRecords(tx, [siteId], { logs: false })).get(siteId) as SiteRecords;
  const whole = set === null ? null : { ...emptyFields(what), ...now, ...set };
  const problem = problemOf(records, what, id, whole);
  if (problem) throw new AppError("wrong_use", { message: `${problem} Nothing was changed.` });
  const rest = undoes === undefined ? {} : { undoes };
  if (whole === null) {
    if (now === null) return null;
    await removeRow(tx, siteId, what, id);
    return { what, id, before: now, after: null, reason, ...rest };
  }
  if (now === null) {
    await insertRow(tx, siteId, what, id, whole);
    return { what, id, before: null, after: whole, reason, ...rest };
  }
  const names = Object.keys(set ?? {}).filter((name) => (now[name] ?? null) !== (whole[name] ?? null));
  if (names.length === 0) return null;
  const part = (of: PathFields) => Object.fromEntries(names.map((name) => [name, of[name] ?? null]));
  await updateRow(tx, siteId, what, id, part(whole));
  return { what, id, before: part(now), after: part(whole), reason, ...rest };
}

function compare(now: PathFields | null, was: PathFields | null, name: string): void {
  const shown = (value: string | null | undefined) => (value === null || value === undefined ? "not recorded" : value);
  if ((now === null) !== (was === null))
    throw new AppError("conflict", {
      message: now
        ? `There is a ${name} already. Load the page again.`
        : `There is no ${name} any more. Load the page again.`,
    });
  for (const [field, seen] of Object.entries(was ?? {})) {
    const stands = now?.[field] ?? null;
    if (stands !== (seen === "" ? null : seen))
      throw new AppError("conflict", {
        message: `${field.replaceAll("_", " ")} of ${name} was changed in the meantime: it is now ${shown(stands)}, not ${shown(seen)}. Nothing was changed; load the page again.`,
      });
  }
}

const emptyFields = (what: PathTarget): PathFields =>
  Object.fromEntries([...PATH_TABLES[what].fields.keys()].map((name) => [name, name === "place" ? "0" : null]));

function problemOf(records: SiteRecords, what: PathTarget, id: string, whole: PathFields | null): string | null {
  const { siteId } = records.site;
  if (whole === null) return what === "piece" ? pieceInUse(records, id) : null;
  if (what === "section") return sectionBondProblem(records, id, whole.bonded_to ?? null);
  const made = {
    ...{ method: whole.method ?? null, awg: whole.awg ?? null },
    ...{ material: whole.material ?? null, listed: whole.listed ?? null },
  } as never as Pick<NonNullable<SiteRecords["pathBonds"]>[number], "method" | "awg" | "material" | "listed">;
  if (what === "piece") {
    if (!whole.kind) return "Say what kind of piece it is.";
    return pieceProblem(records, {
      ...{ siteId, pieceId: id, kind: whole.kind as never, name: whole.name ?? null, place: Number(whole.place ?? 0) },
      ...{ sectionId: whole.section_id ?? null, inverterId: whole.inverter_id ?? null },
      ...{ standsIn: whole.stands_in ?? null, bondedTo: whole.bonded_to ?? null, ...made },
    });
  }
  if (what === "bond") {
    if (!whole.from_point || !whole.to_point) return "Give both ends of the bond.";
    return bondProblem(records, { siteId, bondId: id, from: whole.from_point, to: whole.to_point, ...made });
  }
  return null;
}

const where = (tx: Sql, siteId: string, what: PathTarget, id: string) => {
  const { key } = PATH_TABLES[what];
  return tx`account_id = current_account() AND site_id = ${siteId} ${key === null ? tx`` : tx`AND ${tx(key)} = ${id}`}`;
};

/** Fields as text; null when there is no such row. */
export async function storedFields(tx: Sql, siteId: string, what: PathTarget, id: string): Promise<PathFields | null> {
  const { table, fields } = PATH_TABLES[what];
  const list = [...fields.keys()].map((name) => `"${name}"::text`).join(", ");
  const [row] = await tx<PathFields[]>`
    SELECT ${tx.unsafe(list)} FROM ${tx(table)} WHERE ${where(tx, siteId, what, id)}`;
  return row ? { ...row } : null;
}

/** A value as its column takes it; numbers are whole or decimal text that was read as a number before. */
const cell = (what: PathTarget, name: string, value: string | null | undefined) =>
  value === null || value === undefined ? null : PATH_TABLES[what].numbers.has(name) ? Number(value) : value;

const cells = (what: PathTarget, fields: PathFields) =>
  Object.fromEntries(Object.keys(fields).map((name) => [name, cell(what, name, fields[name])]));

async function updateRow(tx: Sql, siteId: string, what: PathTarget, id: string, fields: PathFields): Promise<void> {
  const row = cells(what, fields);
  await tx`UPDATE ${tx(PATH_TABLES[what].table)} SET ${tx(row, ...Object.keys(row))} WHERE ${where(tx, siteId, what, id)}`;
}

async function insertRow(tx: Sql, siteId: string, what: PathTarget, id: string, fields: PathFields): Promise<void> {
  const { table, key } = PATH_TABLES[what];
  const [account] = await tx<{ id: number }[]>`SELECT current_account() AS id`;
  const row = { account_id: account?.id ?? 0, site_id: siteId, [key as string]: id, ...cells(what, fields) };
  await tx`INSERT INTO ${tx(table)} ${tx(row)}`;
}

async function removeRow(tx: Sql, siteId: string, what: PathTarget, id: string): Promise<void> {
  await tx`DELETE FROM ${tx(PATH_TABLES[what].table)} WHERE ${where(tx, siteId, what, id)}`;
}
