import path from "node:path";
import type { CsvRecord } from "../contract/csv-records.ts";
import { CONTRACT_FILES } from "../contract/files.ts";
import { AppError } from "../core/app-error.ts";
import { rowMap } from "../mapping/map-row.ts";
import type { Mapping, TableSample } from "../mapping/mapping.ts";
import { openQuestions } from "../mapping/open-questions.ts";
import { tableSample } from "../mapping/table-sample.ts";
import type { DropFile } from "./drop-file.ts";
import { csvBatches, type SourceFile, textBeginning } from "./read-file.ts";

/** How much of a file is looked at, characters: some thousands of rows. */
const LOOKED_AT_CHARACTERS = 400_000;

/** What somebody said of how a file is cut into cells. */
type Cut = { [part in "delimiter" | "headerAt" | "encoding"]?: Mapping[part] | undefined };

/** The beginning of a file as a table, cut and read as somebody said, or as its content suggests. */
export async function sampleOf(source: SourceFile, as: Cut = {}): Promise<TableSample & { whole: boolean }> {
  const file = path.basename(source.path);
  let encoding = as.encoding ?? "utf-8";
  let beginning = await textBeginning(source, LOOKED_AT_CHARACTERS, encoding);
  if (!as.encoding && beginning.text.includes("\ufffd")) {
    encoding = "windows-1252";
    beginning = await textBeginning(source, LOOKED_AT_CHARACTERS, encoding);
  }
  const { text, whole } = beginning;
  return { ...tableSample(file, text, whole, { ...as, encoding }), whole };
}

/** Columns of a file that no rule reads. */
export function leftOut(mapping: Mapping, header: readonly string[]): string[] {
  const read = new Set(mapping.columns.flatMap((rule) => [rule.at, rule.clockAt]));
  return header.flatMap((name, at) => (read.has(at) ? [] : [name || `column ${at + 1} (no name)`]));
}

/**
 * A file of somebody else's as one of the contract, row by row while it streams; before it the vocabulary of its codes,
 * where somebody said what they mean.
 * @throws AppError `wrong_use` when the mapping leaves something open
 */
export function mappedFile(
  source: SourceFile,
  mapping: Mapping,
  sample: TableSample,
  about: { by: string; defaults: Readonly<Record<string, string>> },
): DropFile[] {
  const spec = CONTRACT_FILES.find((s) => s.kind === mapping.kind);
  const [open] = openQuestions(mapping, sample, about.defaults);
  if (!spec || open)
    throw new AppError("wrong_use", {
      message: `${sample.file} cannot be read yet: ${open?.says ?? "nobody said what it holds"}`,
    });
  const rows = rowMap(mapping, spec, sample.header.length);
  const unread = leftOut(mapping, sample.header);
  const file: DropFile = {
    name: sample.file,
    source,
    spec,
    header: rows.header,
    batches: (onBytes) => below(csvBatches(source, onBytes, mapping), mapping.headerAt, rows.map),
    notes: () => [
      `Read as ${spec.kind} by ${about.by}`,
      ...(unread.length > 0 ? [`Columns that were not read: ${unread.slice(0, 50).join(", ")}`] : []),
    ],
  };
  return [...vocabularyFile(source, mapping, sample.file), file];
}

async function* below(
  batches: AsyncIterable<CsvRecord[]>,
  headerAt: number,
  map: (record: CsvRecord) => CsvRecord,
): AsyncGenerator<CsvRecord[]> {
  let skip = headerAt + 1;
  for await (const batch of batches) {
    const rows = batch.slice(skip);
    skip = Math.max(0, skip - batch.length);
    if (rows.length > 0) yield rows.map(map);
  }
}

/** What somebody said of the file's codes, as a codes file. */
function vocabularyFile(source: SourceFile, mapping: Mapping, file: string): DropFile[] {
  const { vocabulary } = mapping;
  const codes = Object.entries(vocabulary?.events ?? {});
  if (mapping.kind !== "faults" || !vocabulary || codes.length === 0) return [];
  const rows = codes.map(([code, event], i) => ({ line: i + 1, cells: [vocabulary.system, code, event] }));
  async function* batches() {
    yield rows;
  }
  return [
    {
      name: `codes of ${file}`,
      source: { path: source.path, bytes: 0 },
      spec: CONTRACT_FILES.find((s) => s.kind === "codes") ?? null,
      header: ["code_system", "code", "event"],
      batches,
      notes: () => ["What somebody said that the codes mean"],
    },
  ];
}
