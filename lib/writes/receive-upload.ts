import "server-only";
import { createWriteStream, mkdirSync, renameSync, rmSync } from "node:fs";
import path from "node:path";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import type { ReadableStream as WebStream } from "node:stream/web";
import busboy from "busboy";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { arrivingName } from "../jobs/clear-uploads.ts";
import { uploadFolder } from "../jobs/upload-folder.ts";
import { wakeWorker } from "../jobs/wake-worker.ts";
import type { ImportStatusDocument } from "../reads/documents.ts";
import { waitingFiles } from "../reads/import-mapping.ts";
import { readImportDocument } from "../reads/imports.ts";
import type { Actor } from "../store/actor.ts";
import { dataFolderId } from "../store/data-folder.ts";
import { createImport, newImportId } from "./import-drop.ts";
import { guardFile, UploadBudget } from "./upload-guard.ts";

export const UploadQuery = z.object({
  file: z.string().max(200).optional(),
  format: z.string().max(40).optional(),
  station: z.string().max(100).optional(),
  portfolio: z.string().max(200).optional(),
  /** Ask how files are to be read that nothing tells, instead of setting their rows aside. */
  ask: z.literal("1").optional(),
});
export type UploadQuery = z.infer<typeof UploadQuery>;

const MOST_FILES = 200;

/**
 * Take an upload to disk as it streams, then leave it to the worker. The import exists only once all of its files
 * have arrived, so a broken upload leaves nothing half-read.
 * @returns the import's status document, waiting
 */
export async function receiveUpload(
  actor: Actor,
  query: UploadQuery,
  headers: Headers,
  body: ReadableStream<Uint8Array> | null,
): Promise<ImportStatusDocument> {
  authorise(actor, "imports.write");
  const contentType = headers.get("content-type");
  if (!body)
    throw new AppError("wrong_use", {
      message: "The request has no body. Send files as multipart/form-data, or one CSV as the body.",
    });
  const importId = newImportId();
  const arriving = path.join(path.dirname(uploadFolder(importId)), arrivingName(importId));
  mkdirSync(arriving, { recursive: true });
  try {
    const said = Number(headers.get("content-length") ?? Number.NaN);
    const budget = new UploadBudget(arriving, Number.isFinite(said) ? said : null);
    const stream = Readable.fromWeb(body as WebStream);
    const names = contentType?.startsWith("multipart/form-data")
      ? await takeForm(stream, contentType, arriving, budget)
      : await takeBare(stream, { file: query.file, contentType, folder: arriving, budget });
    if (names.length === 0)
      throw new AppError("wrong_use", { message: "The upload holds no file. Choose at least one CSV file." });
    renameSync(arriving, uploadFolder(importId));
    const { file: _file, ask, ...options } = query;
    const asking = ask === "1" && (await waitingFiles(uploadFolder(importId), options)).some((f) => f.readAs === null);
    await createImport(actor, {
      importId,
      asking,
      heldAt: dataFolderId(),
      name: names.length === 1 ? (names[0] as string) : `${names.length} files`,
      options,
    });
  } catch (error) {
    rmSync(arriving, { recursive: true, force: true });
    if (["ENOSPC", "EDQUOT"].includes((error as NodeJS.ErrnoException).code ?? ""))
      throw new AppError("disk_full", {
        message: `There is no room left for the upload in ${path.dirname(arriving)}. Free some space, then send the files again; nothing of this upload was kept.`,
        cause: error,
      });
    throw error;
  }
  const document = (await readImportDocument(actor, importId)) as ImportStatusDocument;
  if (document.status !== "asking") await wakeWorker(actor.accountId, importId);
  return document;
}

/** The last part of a file name, without anything that could leave the upload's folder. */
function plainName(name: string): string {
  const base = path
    .basename(name.replaceAll("\\", "/"))
    .replace(/[^\w.\- ]/g, "_")
    .slice(0, 200);
  if (!base || base.startsWith("."))
    throw new AppError("wrong_use", { message: `"${name}" is not a usable file name.` });
  return base;
}

const NO_FORM = "The form could not be read: the upload was cut off or is not a form.";

function takeForm(stream: Readable, contentType: string, folder: string, budget: UploadBudget): Promise<string[]> {
  return new Promise((resolve, rejected) => {
    // Whatever stopped it, the rest of the upload is not taken.
    const reject = (error: unknown) => {
      stream.unpipe();
      rejected(error);
    };
    const names: string[] = [];
    const writes: Promise<void>[] = [];
    const form = formOf(contentType);
    if (!form) return reject(new AppError("wrong_use", { message: NO_FORM }));
    form.on("file", (_field, file, info) => {
      try {
        const name = plainName(info.filename ?? "");
        if (names.includes(name))
          throw new AppError("wrong_use", { message: `The upload holds two files named ${name}. Rename one.` });
        names.push(name);
        const write = pipeline(file, guardFile(name, budget), createWriteStream(path.join(folder, name)));
        write.catch(reject);
        writes.push(write);
      } catch (error) {
        file.resume();
        reject(error);
      }
    });
    form.on("filesLimit", () =>
      reject(new AppError("too_large", { message: `At most ${MOST_FILES} files in one upload.` })),
    );
    form.on("close", () => Promise.all(writes).then(() => resolve(names), reject));
    form.on("error", () => reject(new AppError("wrong_use", { message: NO_FORM })));
    stream.on("error", reject);
    stream.pipe(form);
  });
}

/** A parser for the form; null: its type names no boundary. */
function formOf(contentType: string): busboy.Busboy | null {
  try {
    return busboy({
      headers: { "content-type": contentType },
      limits: { files: MOST_FILES, fields: 20, fieldSize: 10_000 },
    });
  } catch {
    return null;
  }
}

interface BareUpload {
  file: string | undefined;
  contentType: string | null;
  folder: string;
  budget: UploadBudget;
}

async function takeBare(stream: Readable, { file, contentType, folder, budget }: BareUpload): Promise<string[]> {
  const zipped = contentType?.includes("gzip") ?? false;
  const name = plainName(file ?? `upload.csv${zipped ? ".gz" : ""}`);
  await pipeline(stream, guardFile(name, budget), createWriteStream(path.join(folder, name)));
  return [name];
}
