import { type CsvRecord, unguarded } from "../contract/csv-records.ts";
import type { FileSpec } from "../contract/file-spec.ts";
import type { Reject, RowParser } from "../contract/row-parser.ts";
import type { Sql } from "../store/transaction.ts";
import { LogAppend, needsMerge } from "./append-log.ts";
import { type Merged, notesOf } from "./import-notes.ts";
import {
  bookChanges,
  dropEarlierDuplicates,
  makeFaultMonths,
  makePortfolios,
  mergeStaged,
  noteReach,
} from "./merge.ts";
import { mergeWeather } from "./merge-weather.ts";
import { plainLogLines } from "./plain-log-lines.ts";
import { makeStaging, STAGING, stageRows } from "./stage.ts";
import { type ReadFile, TakenRows } from "./taken-rows.ts";

export interface FileCounts {
  rows: number;
  accepted: number;
  unchanged: number;
  setAside: number;
  notes: string[];
}

export interface FileImport extends ReadFile {
  /** The records of the file, from its beginning each time it is called. */
  batches: () => AsyncIterable<CsvRecord[]>;
  /** The same file as it lies on the disk, unpacked, with its header; absent: it is in no form of the contract's. */
  bytes?: (() => AsyncIterable<Buffer>) | undefined;
  /**
   * Makes partitions of months for faults, beside the transaction. With it new rows of a log are stored while the file is
   * still being read; a file that turns out to need a merge is then read once more.
   */
  makeMonths?: (months: readonly string[]) => Promise<void>;
  /** Takes rows set aside as they are found; the same ones again where a file is read once more. */
  setAside: (rejects: Reject[]) => Promise<void>;
  /** Called between batches; throws to stop. */
  onRows: (rows: number) => void;
  /** Called when every row is read and the merge begins. */
  onMerge: (rows: number) => void;
}

/**
 * Import the rows of one file in the transaction given: parse, stage by COPY, merge by natural key.
 * @returns counts with accepted + unchanged + setAside = rows
 */
export async function importFile(tx: Sql, file: FileImport): Promise<FileCounts> {
  const { makeMonths } = file;
  if (file.spec.isLog && makeMonths) {
    try {
      return await tx.savepoint((inner) => appendFile(inner, file, makeMonths));
    } catch (error) {
      if (!needsMerge(error)) throw error;
    }
  }
  return mergeFile(tx, file);
}

/** New rows of a log, each chunk stored while the next is read. @throws what `needsMerge` knows when they are not all new */
async function appendFile(
  tx: Sql,
  file: FileImport,
  makeMonths: (months: readonly string[]) => Promise<void>,
): Promise<FileCounts> {
  const taken = new TakenRows(file, { order: false });
  const { columns, missingColumn } = taken.parser;
  await makeStaging(tx, columns);
  if (!taken.reach) throw new RangeError("only the rows of a log can be appended");
  const log = new LogAppend(tx, { spec: file.spec, columns, reach: taken.reach, makeMonths });
  await readRows(tx, file, taken, (stage) => log.chunk(stage));
  file.onMerge(taken.rows);
  const accepted = missingColumn === null ? await log.finish() : 0;
  return countsOf(taken, { ...NOTHING_MERGED, accepted });
}

async function mergeFile(tx: Sql, file: FileImport): Promise<FileCounts> {
  const taken = new TakenRows(file, { order: true });
  const { columns, missingColumn } = taken.parser;
  await makeStaging(tx, columns);
  await readRows(tx, file, taken, (stage) => stage());
  const loose = taken.links.unresolved();
  if (loose.length > 0) {
    await tx.unsafe(`DELETE FROM ${STAGING} WHERE line = ANY($1::bigint[])`, [loose.map((r) => r.line)]);
    await file.setAside(loose);
    taken.setAside += loose.length;
  }
  file.onMerge(taken.rows);
  return countsOf(taken, missingColumn === null ? await merge(tx, file.spec, columns, taken) : NOTHING_MERGED);
}

/** Read a file, and store each chunk in a way of its own. While the server has one chunk the next is read. */
async function readRows(
  tx: Sql,
  file: FileImport,
  taken: TakenRows,
  store: (stage: () => Promise<void>) => Promise<void>,
): Promise<void> {
  const { columns } = taken.parser;
  let staged: Promise<void> = Promise.resolve();
  const send = async (lines: TakenRows["lines"]) => {
    if (lines.rows > 0) await store(() => stageRows(tx, columns, lines));
  };
  const flush = async () => {
    await staged;
    const { lines, bad } = taken.handOver();
    staged = send(lines);
    staged.catch(() => {}); // awaited above or below
    if (bad.length > 0) await file.setAside(bad);
  };
  for await (const rows of rowsOf(file, taken, () => staged)) {
    if (!taken.isFull) continue;
    await flush();
    file.onRows(rows);
  }
  await flush();
  await staged;
}

/**
 * Take the rows of a file, piece by piece.
 * @param staged until the connection has sent what it was given: it takes nothing else while it takes rows
 * @returns after each piece how many there were
 */
async function* rowsOf(file: FileImport, taken: TakenRows, staged: () => Promise<void>): AsyncGenerator<number> {
  const { known } = file;
  const lines = file.bytes ? plainLogLines(file, taken) : null;
  if (file.bytes && lines) {
    await known.meetAll();
    for await (const piece of file.bytes()) {
      lines.push(piece);
      yield taken.rows;
    }
    lines.end();
    return;
  }
  const siteAt = file.header.indexOf("site_id");
  for await (const batch of file.batches()) {
    const unmet = siteAt >= 0 ? known.unmet(sitesIn(batch, siteAt)) : [];
    if (unmet.length > 0) {
      await staged();
      await known.meet(unmet);
    }
    for (const record of batch) taken.take(record);
    yield taken.rows;
  }
}

/** Sites that rows name; rows of one are neighbours mostly. */
function sitesIn(batch: readonly CsvRecord[], siteAt: number): Set<string> {
  const out = new Set<string>();
  let last: string | undefined;
  for (const { cells } of batch) {
    const cell = cells[siteAt];
    if (cell === undefined || cell === last) continue;
    last = cell;
    out.add(unguarded(cell.trim()));
  }
  return out;
}

const NOTHING_MERGED: Merged = { accepted: 0, duplicates: 0, unplaced: [], books: [] };

async function merge(
  tx: Sql,
  spec: FileSpec,
  columns: RowParser["columns"],
  { reach, order }: TakenRows,
): Promise<Merged> {
  if (spec.kind === "faults" && reach) await makeFaultMonths(tx, reach.months);
  await tx.unsafe(`ANALYZE ${STAGING}`);
  const books = spec.kind === "sites" ? await bookChanges(tx) : [];
  const duplicates = order?.isUnique ? 0 : await dropEarlierDuplicates(tx, columns);
  if (spec.kind === "weather") return { duplicates, books, ...(await mergeWeather(tx, columns)) };
  if (spec.kind === "sites") await makePortfolios(tx);
  const accepted = await mergeStaged(tx, spec, columns);
  await noteReach(tx, spec, columns);
  return { accepted, duplicates, unplaced: [], books };
}

function countsOf({ rows, setAside, parser, codes }: TakenRows, merged: Merged): FileCounts {
  const { accepted } = merged;
  const unchanged = rows - setAside - accepted;
  return { rows, accepted, unchanged, setAside, notes: notesOf(parser, merged, codes.count) };
}
