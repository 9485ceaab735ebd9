import type { CsvRecord } from "./csv-records.ts";
import { normalHeader, SET_ASIDE_COLUMNS } from "./identify.ts";
import { csvBatches, type SourceFile } from "./read-file.ts";

/** One contract file inside a set-aside file: the rows that name it, with the header they came under. */
export interface SetAsidePart {
  file: string;
  header: string[];
  batches: () => AsyncGenerator<CsvRecord[]>;
}

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
      const file = record.cells[at.file] ?? "";
      const header = record.cells[at.header] ?? "";
      const key = `${file}\n${header}`;
      if (!parts.has(key))
        parts.set(key, { file, header: normalHeader(header.split(";")), batches: () => rowsOf(source, file, header) });
    }
  }
  return [...parts.values()];
}

function places(outer: readonly string[]): { file: number; header: number } {
  return { file: outer.indexOf("set_aside_file"), header: outer.indexOf("set_aside_header") };
}

async function* rowsOf(source: SourceFile, file: string, header: string): AsyncGenerator<CsvRecord[]> {
  let outer: string[] | null = null;
  const names = normalHeader(header.split(";"));
  for await (const batch of csvBatches(source)) {
    const out: CsvRecord[] = [];
    for (const record of batch) {
      if (!outer) {
        outer = normalHeader(record.cells);
        continue;
      }
      const head = outer;
      const at = places(head);
      if ((record.cells[at.file] ?? "") !== file || (record.cells[at.header] ?? "") !== header) continue;
      out.push({ ...record, cells: names.map((name) => record.cells[head.indexOf(name)] ?? "") });
    }
    if (out.length > 0) yield out;
  }
}

/** Header of a set-aside file for rows that came under these headers. */
export function setAsideHeader(headers: readonly (readonly string[])[]): string[] {
  const own: string[] = [];
  for (const header of headers)
    for (const name of header) if (name !== "" && !own.includes(name) && !name.startsWith("set_aside_")) own.push(name);
  return [...SET_ASIDE_COLUMNS, ...own];
}
