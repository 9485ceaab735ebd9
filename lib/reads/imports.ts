import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { readRecords, readTransaction } from "../store/transaction.ts";
import type { ImportStatusDocument } from "./documents.ts";
import type { ImportSummary, ImportView } from "./imports-view.ts";

const SHOWN_SET_ASIDE = 100;
const Status = z.enum(["asking", "waiting", "running", "done", "failed", "cancelled"]);
const Notes = z.array(z.string());
const Texts = z.array(z.string());
/** Cells of one row that a page shows for correcting, characters. */
const SHOWN_CHARACTERS = 20_000;

interface FileRow {
  rows: bigint;
  accepted: bigint;
  unchanged: bigint;
  setAside: bigint;
  bytesTotal: bigint | null;
  bytesRead: bigint;
}

function totals(files: FileRow[]) {
  const sum = (pick: (f: FileRow) => bigint) => Number(files.reduce((total, f) => total + pick(f), 0n));
  const known = files.length > 0 && files.every((f) => f.bytesTotal !== null);
  const bytes = sum((f) => f.bytesTotal ?? 0n);
  return {
    rows: sum((f) => f.rows),
    accepted: sum((f) => f.accepted),
    unchanged: sum((f) => f.unchanged),
    setAside: sum((f) => f.setAside),
    progress: known && bytes > 0 ? Math.min(1, sum((f) => f.bytesRead) / bytes) : null,
  };
}

/** Imports of the account, newest first, at most 100. */
export async function readImports(actor: Actor): Promise<ImportSummary[]> {
  authorise(actor, "imports.read");
  return readRecords(actor, async (prisma) => {
    const drops = await prisma.importDrop.findMany({ orderBy: { requestedAt: "desc" }, take: 100 });
    const files = await prisma.importFile.findMany({ where: { importId: { in: drops.map((d) => d.importId) } } });
    return drops.map((d) =>
      summary(
        d,
        files.filter((f) => f.importId === d.importId),
      ),
    );
  });
}

interface DropRow {
  importId: string;
  name: string;
  status: string;
  requestedBy: string;
  requestedAt: Date;
  finishedAt: Date | null;
  error: string | null;
}

function summary(d: DropRow, files: FileRow[]): ImportSummary {
  const status = Status.parse(d.status);
  const counted = totals(files);
  return {
    importId: d.importId,
    name: d.name,
    status,
    requestedBy: d.requestedBy,
    requestedAt: d.requestedAt.toISOString(),
    finishedAt: d.finishedAt?.toISOString() ?? null,
    ...counted,
    progress: status === "done" ? 1 : counted.progress,
    error: d.error,
  };
}

/** One import with its files, notes and first set-aside rows; null when there is none. */
export async function readImport(actor: Actor, importId: string): Promise<ImportView | null> {
  authorise(actor, "imports.read");
  return readRecords(actor, async (prisma) => {
    const drop = await prisma.importDrop.findFirst({ where: { importId } });
    if (!drop) return null;
    const files = await prisma.importFile.findMany({ where: { importId }, orderBy: { position: "asc" } });
    const aside = await prisma.setAsideRow.findMany({
      where: { importId },
      orderBy: [{ position: "asc" }, { line: "asc" }],
      take: SHOWN_SET_ASIDE,
    });
    const nameOf = new Map(files.map((f) => [f.position, f.file]));
    const headerOf = new Map(files.map((f) => [f.position, Texts.parse(f.header ?? [])]));
    return {
      ...summary(drop, files),
      files: files.map((f) => ({
        file: f.file,
        kind: f.kind,
        status: f.status,
        bytesTotal: f.bytesTotal === null ? null : Number(f.bytesTotal),
        bytesRead: Number(f.bytesRead),
        rows: Number(f.rows),
        accepted: Number(f.accepted),
        unchanged: Number(f.unchanged),
        setAside: Number(f.setAside),
        notes: Notes.parse(f.notes),
      })),
      setAsideRows: aside.map((row) => ({
        file: nameOf.get(row.position) ?? "",
        line: Number(row.line),
        column: row.column,
        value: row.value,
        reason: row.reason,
        position: row.position,
        ...correctable(headerOf.get(row.position) ?? [], Texts.parse(row.cells)),
        sentIn: row.sentIn,
      })),
    };
  });
}

/** A row can be corrected in place when its cells belong to columns and are not longer than a page can show. */
function correctable(header: string[], cells: string[]): { header: string[]; cells: string[] } {
  const length = cells.reduce((sum, cell) => sum + cell.length, 0);
  return cells.length === header.length && length <= SHOWN_CHARACTERS ? { header, cells } : { header: [], cells: [] };
}

/** The contract's import document with its status, as the HTTP API gives it. */
export async function readImportDocument(actor: Actor, importId: string): Promise<ImportStatusDocument | null> {
  authorise(actor, "imports.read");
  const view = await readImport(actor, importId);
  if (!view) return null;
  return {
    import_id: view.importId,
    status: view.status,
    error: view.error,
    files: view.files.map((f) => ({
      file: f.file,
      rows: f.rows,
      accepted: f.accepted,
      unchanged: f.unchanged,
      set_aside: f.setAside,
      notes: f.notes,
    })),
    set_aside_file: view.setAside > 0 ? `/api/v1/imports/${encodeURIComponent(importId)}/set-aside` : null,
  };
}

/** Whether an import exists and is over; null: there is none. */
export async function importIsOver(actor: Actor, importId: string): Promise<boolean | null> {
  authorise(actor, "imports.read");
  const [row] = await readTransaction(
    actor,
    (tx) => tx<{ status: string }[]>`SELECT status FROM import_drop WHERE import_id = ${importId}`,
  );
  return row ? !["asking", "waiting", "running"].includes(row.status) : null;
}
