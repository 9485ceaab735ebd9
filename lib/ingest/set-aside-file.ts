import { type CsvRecord, unguarded } from "../contract/csv-records.ts";
import { AppError } from "../core/app-error.ts";
import { normalHeader, SET_ASIDE_COLUMNS, withoutNul } from "./identify.ts";
import { csvBatches, type SourceFile } from "./read-file.ts";

/** One contract file inside a set-aside file: the rows that name it, with the header they came under. */
export interface SetAsidePart {
  /** Name of the file that the rows came from. */
  file: string;
  header: string[];
  batches: () => AsyncGenerator<CsvRecord[]>;
}

/** Each part is a reading of the whole file, so a file that names thousands of others would never be done. */
const MOST_PARTS = 400;

/**
 * The contract files whose corrected rows a set-aside file holds, in order of first appearance. Only the columns that a
 * row's own header named count as present, so cells that belong to other files blank nothing.
 */
export async function setAsideParts(source: SourceFile): Promise<SetAsidePart[]> {
  const parts = new Map<string, SetAsidePart>();
  let outer: string[] | null = null;
  for await (const batch of csvBatches(source)) {
    for (const record of batch) {
      if (!outer) {
        outer = normalHeader(record.cells);
        continue;
      }
      const at = places(outer);
      const { file, header } = origin(record, at);
      const key = `${file}\n${header}`;
      if (parts.has(key)) continue;
      if (parts.size === MOST_PARTS)
        throw new AppError("file_unreadable", {
          message: `${source.path} holds rows of more than ${MOST_PARTS} files. Split it by set_aside_file and import the parts.`,
        });
      const name = withoutNul(unguarded(file));
      const names = normalHeader(unguarded(header).split(";"));
      parts.set(key, { file: name, header: names, batches: () => rowsOf(source, file, header, names) });
    }
  }
  return [...parts.values()];
}

function places(outer: readonly string[]): { file: number; header: number } {
  return { file: outer.indexOf("set_aside_file"), header: outer.indexOf("set_aside_header") };
}

/** Which file a row names; one that could not be split names none. */
function origin({ cells, broken }: CsvRecord, at: { file: number; header: number }): { file: string; header: string } {
  return broken ? { file: "", header: "" } : { file: cells[at.file] ?? "", header: cells[at.header] ?? "" };
}

async function* rowsOf(
  source: SourceFile,
  file: string,
  header: string,
  names: readonly string[],
): AsyncGenerator<CsvRecord[]> {
  let outer: string[] | null = null;
  for await (const batch of csvBatches(source)) {
    const out: CsvRecord[] = [];
    for (const record of batch) {
      if (!outer) {
        outer = normalHeader(record.cells);
        continue;
      }
      const head = outer;
      const at = places(head);
      const own = origin(record, at);
      if (own.file !== file || own.header !== header) continue;
      if (record.broken) out.push(record);
      else out.push({ ...record, cells: names.map((name) => unguarded(record.cells[head.indexOf(name)] ?? "")) });
    }
    if (out.length > 0) yield out;
  }
}

/** Header of a set-aside file for rows that came under these headers. */
export function setAsideHeader(headers: readonly (readonly string[])[]): string[] {
  const own = new Set<string>();
  for (const header of headers)
    for (const name of header) if (name !== "" && !name.startsWith("set_aside_")) own.add(name);
  return [...SET_ASIDE_COLUMNS, ...own];
}
