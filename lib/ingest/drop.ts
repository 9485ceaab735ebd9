import { readdirSync, statSync } from "node:fs";
import path from "node:path";
import { AppError } from "../core/app-error.ts";
import type { FileSpec } from "./contract/file-spec.ts";
import { CONTRACT_FILES } from "./contract/files.ts";
import type { CsvRecord } from "./csv-records.ts";
import { isSetAsideHeader, normalHeader, specByHeader, specByName } from "./identify.ts";
import { csvBatches, type SourceFile, sourceFile } from "./read-file.ts";
import { setAsideParts } from "./set-aside-file.ts";

/** One file of a drop, ready to be read; or one that nobody knows what to do with. */
export interface DropFile {
  /** Its name as reported. */
  name: string;
  source: SourceFile;
  /** null: neither name nor header tell what it is. */
  spec: FileSpec | null;
  header: string[];
  batches: (onBytes: (read: number) => void) => AsyncIterable<CsvRecord[]>;
}

/** Files of a folder by name; hidden ones and folders are not part of a drop. */
function listFolder(folder: string): string[] {
  return readdirSync(folder, { withFileTypes: true })
    .filter((entry) => entry.isFile() && !entry.name.startsWith("."))
    .map((entry) => path.join(folder, entry.name))
    .sort();
}

/**
 * The files of a drop in the contract's order, files of unknown kind last.
 * @param kind force single files to be read as this file of the contract
 * @throws AppError `file_unreadable` for a path that is no readable file, `wrong_use` for an unknown kind
 */
export async function dropFiles(source: { folder: string } | { files: string[] }, kind?: string): Promise<DropFile[]> {
  const paths = "folder" in source ? listFolder(source.folder) : source.files;
  const forced = kind === undefined ? null : CONTRACT_FILES.find((spec) => spec.kind === kind);
  if (forced === undefined) {
    throw new AppError("wrong_use", {
      message: `--format "${kind}" is not known. Use one of ${CONTRACT_FILES.map((s) => s.kind).join(", ")}.`,
    });
  }
  const files: DropFile[] = [];
  for (const file of paths) files.push(...(await filesIn(file, forced)));
  const order = (f: DropFile) => (f.spec ? CONTRACT_FILES.indexOf(f.spec) : CONTRACT_FILES.length);
  return files
    .map((f, i) => ({ f, i }))
    .sort((a, b) => order(a.f) - order(b.f) || a.i - b.i)
    .map(({ f }) => f);
}

async function filesIn(file: string, forced: FileSpec | null): Promise<DropFile[]> {
  if (!statSync(file, { throwIfNoEntry: false })?.isFile())
    throw new AppError("file_unreadable", { message: `There is no file ${file}.` });
  const source = await sourceFile(file);
  const header = await headerOf(source);
  if (isSetAsideHeader(header)) {
    return (await setAsideParts(source)).map((part) => ({
      name: part.file,
      source,
      spec: specByName(part.file) ?? specByHeader(part.header),
      header: part.header,
      batches: part.batches,
    }));
  }
  const spec = forced ?? specByName(file) ?? specByHeader(header);
  return [
    {
      name: path.basename(file),
      source,
      spec,
      header,
      batches: (onBytes) => withoutHeader(csvBatches(source, onBytes)),
    },
  ];
}

async function headerOf(source: SourceFile): Promise<string[]> {
  for await (const batch of csvBatches(source)) return normalHeader(batch[0]?.cells ?? []);
  return [];
}

async function* withoutHeader(batches: AsyncIterable<CsvRecord[]>): AsyncGenerator<CsvRecord[]> {
  let first = true;
  for await (const batch of batches) {
    const rows = first ? batch.slice(1) : batch;
    first = false;
    if (rows.length > 0) yield rows;
  }
}
