import "server-only";
import { mkdirSync, statSync } from "node:fs";
import path from "node:path";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { holdingLock } from "../jobs/hold-lock.ts";
import { importLockKey } from "../jobs/import-lock.ts";
import type { ImportDocument } from "../reads/documents.ts";
import type { Actor } from "../store/actor.ts";
import { ensureDataFolder } from "../store/data-folder.ts";
import { database } from "../store/database.ts";
import { createImport, type ImportProgress, runImport, writeSetAside } from "./import-drop.ts";

export interface ImportPathsOptions {
  name?: string;
  format?: string;
  station?: string;
  portfolio?: string;
  signal?: AbortSignal;
  onProgress?: (progress: ImportProgress) => void;
}

/**
 * Import a drop folder or single files in this process, to the end.
 * @returns the contract's import document; `set_aside_file` is a CSV in the data folder, null when all rows were used
 * @throws AppError `file_unreadable` when a path does not exist
 */
export async function importPaths(
  actor: Actor,
  paths: string[],
  options: ImportPathsOptions = {},
): Promise<ImportDocument> {
  authorise(actor, "imports.write");
  const folders = paths.filter(isFolder);
  if (folders.length > 0 && paths.length > 1) {
    throw new AppError("wrong_use", { message: "Give one drop folder, or one or more files, not both." });
  }
  const {
    name = path.basename(path.resolve(paths[0] as string)),
    signal,
    onProgress,
    format,
    station,
    portfolio,
  } = options;
  const given = { ...(format ? { format } : {}), ...(station ? { station } : {}), ...(portfolio ? { portfolio } : {}) };
  const importId = await createImport(actor, { name, options: given });
  const source = folders[0] ? { folder: folders[0] } : { files: paths };
  // The lock tells workers beside this process that the import is being run.
  const result = await holdingLock(await database(), importLockKey(actor.accountId, importId), { waits: true }, () =>
    runImport(actor, importId, source, {
      ...(signal ? { signal } : {}),
      ...(onProgress ? { onProgress } : {}),
    }),
  );
  if (!result) throw new RangeError("a lock that is waited for is got");
  let setAsideFile: string | null = null;
  if (result.files.some((f) => f.set_aside > 0)) {
    const folder = path.join(ensureDataFolder(), "set-aside");
    mkdirSync(folder, { recursive: true });
    setAsideFile = path.join(folder, `${importId}.csv`);
    await writeSetAside(actor, importId, setAsideFile);
  }
  return { files: result.files, set_aside_file: setAsideFile };
}

function isFolder(file: string): boolean {
  const stat = statSync(file, { throwIfNoEntry: false });
  if (!stat) throw new AppError("file_unreadable", { message: `There is no file or folder ${file}.` });
  return stat.isDirectory();
}
