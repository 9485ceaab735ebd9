import "server-only";
import { readdirSync, statSync } from "node:fs";
import path from "node:path";
import { z } from "zod";
import { wordsOf } from "../contract/cell.ts";
import type { FileSpec } from "../contract/file-spec.ts";
import { CONTRACT_FILES } from "../contract/files.ts";
import { isReject, type KnownRecords, rowParser } from "../contract/row-parser.ts";
import { RowTally } from "../contract/row-tally.ts";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { INVERTER_EVENT_NAMES } from "../faults/sunspec-events.ts";
import { dropFiles } from "../ingest/drop.ts";
import type { DropFile } from "../ingest/drop-file.ts";
import { accountRecords } from "../ingest/known-records.ts";
import { leftOut, sampleOf } from "../ingest/mapped-file.ts";
import { sourceFile } from "../ingest/read-file.ts";
import { uploadFolder } from "../jobs/upload-folder.ts";
import { cellsOf, takes } from "../mapping/column-match.ts";
import { completed, guessMapping } from "../mapping/guess-mapping.ts";
import { rowMap } from "../mapping/map-row.ts";
import type { Mapping, TableSample } from "../mapping/mapping.ts";
import { codesIn, openQuestions, unknownWords } from "../mapping/open-questions.ts";
import { unitsOf } from "../mapping/units.ts";
import { zoneMeanings } from "../mapping/zone-names.ts";
import { zoneNamesIn } from "../mapping/zone-names-in.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction } from "../store/transaction.ts";
import { defaultsFor } from "./import-defaults.ts";
import type { ContractColumn, MappingAsk, MappingPreview, MappingView, WaitingFile } from "./import-mapping-view.ts";
import { profileLookup } from "./import-profiles.ts";

const SHOWN_ROWS = 8;
export const SHOWN_REASONS = 12;
const Options = z.object({
  portfolio: z.string().optional(),
  station: z.string().optional(),
  format: z.string().optional(),
});

/** What was said of an upload that waits. @throws AppError `not_found`, `conflict` when it waits for nothing */
export async function waitingOptions(actor: Actor, importId: string): Promise<z.infer<typeof Options>> {
  authorise(actor, "imports.write");
  const [drop] = await readTransaction(
    actor,
    (tx) =>
      tx<{ status: string; options: unknown }[]>`SELECT status, options FROM import_drop WHERE import_id = ${importId}`,
  );
  if (!drop) throw new AppError("not_found", { message: `There is no import ${importId}.` });
  if (drop.status !== "asking")
    throw new AppError("conflict", { message: `Import ${importId} asks for nothing any more (${drop.status}).` });
  return Options.parse(drop.options);
}

/**
 * The files of an upload that waits for somebody's word, and how those that are plain will be read.
 * @throws AppError `not_found`, `conflict` when it waits for nothing
 */
export async function readWaitingFiles(actor: Actor, importId: string): Promise<WaitingFile[]> {
  authorise(actor, "imports.write");
  const options = await waitingOptions(actor, importId);
  return waitingFiles(uploadFolder(importId), options);
}

/** Files of a folder with what each will be read as; null: nobody can tell. */
export async function waitingFiles(folder: string, readAs: z.infer<typeof Options>): Promise<WaitingFile[]> {
  const out: WaitingFile[] = [];
  for (const file of readdirSync(folder).sort()) {
    const full = path.join(folder, file);
    const parts = await dropFiles({ files: [full] }, readAs);
    const kinds = parts.map((part) =>
      part.name === file && lacksColumns(part, readAs) ? null : (part.spec?.kind ?? null),
    );
    out.push({
      file,
      bytes: statSync(full).size,
      readAs: kinds.includes(null) ? null : [...new Set(kinds)].join(", "),
    });
  }
  return out;
}

/** A file that only its name makes one of the contract: its columns are somebody else's. */
function lacksColumns({ spec, header }: DropFile, readAs: z.infer<typeof Options>): boolean {
  const defaults = defaultsFor(spec?.kind ?? "", readAs);
  return spec?.columns.some((c) => c.required && !header.includes(c.name) && defaults[c.name] === undefined) ?? false;
}

/** The file of an upload by its name, which must be one that lies there. */
export function uploadedFile(importId: string, file: string): string {
  const folder = uploadFolder(importId);
  if (!readdirSync(folder).includes(file))
    throw new AppError("not_found", { message: `This upload has no file ${file}.` });
  return path.join(folder, file);
}

/**
 * How a file of a waiting upload can be read: guessed, remembered, or as somebody says, with what is still open and what
 * would become of its first rows.
 * @throws AppError `not_found`, `conflict`
 */
export async function readMapping(actor: Actor, importId: string, ask: MappingAsk): Promise<MappingView> {
  authorise(actor, "imports.write");
  const options = await waitingOptions(actor, importId);
  const source = await sourceFile(uploadedFile(importId, ask.file));
  const sample = await sampleOf(source, ask.mapping ?? ask.cut);
  const profile = (await profileLookup(actor))(sample.header);
  const fresh = ask.mapping === null && ask.kind === null && Object.keys(ask.cut).length === 0;
  const known = await readTransaction(actor, accountRecords);
  const guess = guessMapping(
    sample,
    ask.mapping?.kind ?? ask.kind ?? (fresh ? profile?.mapping.kind : null) ?? undefined,
    known.zoneOf,
  );
  const said = ask.mapping ?? (fresh ? profile?.mapping : null) ?? null;
  const mapping = said ? completed(said, sample, known.zoneOf) : guess.mapping;
  const defaults = defaultsFor(mapping.kind ?? "", options);
  const questions = openQuestions(mapping, sample, defaults, known.zoneOf);
  const spec = CONTRACT_FILES.find((s) => s.kind === mapping.kind) ?? null;
  return {
    file: ask.file,
    header: sample.header,
    examples: sample.header.map((_, at) => [...new Set(cellsOf(sample, at))].slice(0, 3)),
    rows: sample.rows.length,
    whole: sample.whole,
    mapping,
    because: guess.because,
    questions,
    kinds: CONTRACT_FILES.map((s) => s.kind),
    columns: spec ? spec.columns.map(contractColumn) : [],
    words: spec ? wordsToSay(mapping, sample, spec) : {},
    zoneNames: spec ? zonesToSay(mapping, sample, spec) : {},
    codes: codesIn(sample, mapping).slice(0, 60),
    events: [...INVERTER_EVENT_NAMES, "OTHER"],
    leftOut: leftOut(mapping, sample.header),
    preview: spec && questions.length === 0 ? preview({ mapping, sample, spec, defaults, known }) : null,
    profile: profile ? { name: profile.name, madeBy: profile.madeBy, madeAt: profile.madeAt } : null,
  };
}

function contractColumn(column: FileSpec["columns"][number]): ContractColumn {
  return {
    name: column.name,
    takes: takes(column),
    required: column.required === true,
    units: unitsOf(column.name).map(({ unit, label }) => ({ unit, label })),
    words: column.read.kind === "cell" ? wordsOf(column.read.schema) : null,
  };
}

/** Words that nobody explained, and those that somebody did. */
function wordsToSay(mapping: Mapping, sample: TableSample, spec: FileSpec): Record<string, string[]> {
  const out: Record<string, string[]> = {};
  for (const rule of mapping.columns) {
    const all = [...new Set([...Object.keys(rule.words), ...unknownWords(sample, spec, rule)])].slice(0, 60);
    if (all.length > 0 && rule.at !== null) out[rule.to] = all;
  }
  return out;
}

/** Names of zones that the times of the file carry, with what each may mean. */
function zonesToSay(mapping: Mapping, sample: TableSample, spec: FileSpec): MappingView["zoneNames"] {
  const out: MappingView["zoneNames"] = {};
  for (const rule of mapping.columns) {
    const names = zoneNamesIn(sample, spec, mapping.columns, rule, () => undefined).map(({ name }) => ({
      name,
      meanings: zoneMeanings(name).map(({ offset, where }) => ({ offset, where })),
    }));
    if (names.length > 0) out[rule.to] = names;
  }
  return out;
}

interface PreviewOf {
  mapping: Mapping;
  sample: TableSample;
  spec: FileSpec;
  defaults: Record<string, string>;
  known: KnownRecords;
}

/** The rows that were looked at, put through the same reader as the import's. */
function preview({ mapping, sample, spec, defaults, known }: PreviewOf): MappingPreview {
  const rows = rowMap(mapping, spec, sample.header.length);
  const parser = rowParser(spec, rows.header, known, defaults);
  const tally = new RowTally();
  const shown: MappingPreview["rows"] = [];
  for (const [i, cells] of sample.rows.entries()) {
    const mapped = rows.map({ cells, line: sample.headerAt + 2 + i });
    const parsed = parser.parse(mapped);
    const rejected = isReject(parsed) ? parsed : null;
    tally.add(rejected);
    if (shown.length < SHOWN_ROWS)
      shown.push({
        line: mapped.line,
        cells: mapped.cells,
        setAside: rejected ? `${rejected.column}: ${rejected.reason}` : null,
      });
  }
  return {
    looked: tally.rows,
    usable: tally.rows - tally.setAside,
    setAside: tally.setAside,
    reasons: tally.reasons(SHOWN_REASONS),
    header: rows.header,
    rows: shown,
  };
}
