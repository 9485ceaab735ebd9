import { beginning, type CsvRecord, unguarded } from "../contract/csv-records.ts";
import type { FileSpec } from "../contract/file-spec.ts";
import { isReject, type ParsedRow, type Reject, type RowParser, rowParser } from "../contract/row-parser.ts";
import { decodeCode } from "../faults/fault-code.ts";
import type { Sql } from "../store/transaction.ts";
import { KeyOrder } from "./key-order.ts";
import type { AccountRecords } from "./known-records.ts";
import { LogReach } from "./log-reach.ts";
import {
  appendStaged,
  type BookChange,
  bookChanges,
  dropEarlierDuplicates,
  makeFaultMonths,
  makePortfolios,
  mergeStaged,
  noteReach,
  startOf,
} from "./merge.ts";
import { mergeWeather } from "./merge-weather.ts";
import { makeStaging, STAGING, StagedLines, stageRows } from "./stage.ts";

export interface FileCounts {
  rows: number;
  accepted: number;
  unchanged: number;
  setAside: number;
  notes: string[];
}

export interface FileImport {
  spec: FileSpec;
  header: string[];
  batches: AsyncIterable<CsvRecord[]>;
  known: AccountRecords;
  defaults: Readonly<Record<string, string>>;
  /** Takes rows set aside as they are found. */
  setAside: (rejects: Reject[]) => Promise<void>;
  /** Called between batches; throws to stop. */
  onRows: (rows: number) => void;
  /** Called when every row is read and the merge begins. */
  onMerge: (rows: number) => void;
}

/** Rows sent to the server at once: large enough for COPY to be fast, small enough to keep memory flat. */
const CHUNK = 10_000;
/** The same in characters of the rows set aside and stored: long rows must not fill the memory. */
const CHUNK_CHARACTERS = 4_000_000;

/**
 * Import the rows of one file in the transaction given: parse, stage by COPY, merge by natural key.
 * @returns counts with accepted + unchanged + setAside = rows
 */
export async function importFile(tx: Sql, file: FileImport): Promise<FileCounts> {
  const parser = rowParser(file.spec, file.header, file.known, file.defaults);
  await makeStaging(tx, parser.columns);
  const codes = new UnknownCodes(file, parser);
  const links = new SectionLinks(file, parser);
  const order = new KeyOrder(parser.columns);
  const reach = file.spec.isLog ? new LogReach(parser.columns, startOf(file.spec)) : null;
  let rows = 0;
  let setAside = 0;
  let good = new StagedLines();
  let bad: Reject[] = [];
  let characters = 0;
  // While the server takes one chunk the next is read.
  let staged: Promise<void> = Promise.resolve();
  const flush = async () => {
    await staged;
    staged = stageRows(tx, parser.columns, good);
    staged.catch(() => {}); // awaited below
    if (bad.length > 0) await file.setAside(bad);
    setAside += bad.length;
    good = new StagedLines();
    bad = [];
    characters = 0;
  };
  const siteAt = file.header.indexOf("site_id");
  for await (const batch of file.batches) {
    const unmet = siteAt >= 0 ? file.known.unmet(sitesIn(batch, siteAt)) : [];
    if (unmet.length > 0) {
      // The connection takes nothing else while it takes rows.
      await staged;
      await file.known.meet(unmet);
    }
    for (const record of batch) {
      rows++;
      const parsed = parser.parse(record);
      for (const cell of record.cells) characters += cell.length + 1;
      if (isReject(parsed)) bad.push(parsed);
      else {
        good.add(parsed);
        codes.look(parsed);
        links.look(parsed, record);
        order.look(parsed);
        reach?.look(parsed);
      }
    }
    if (good.rows + bad.length >= CHUNK || characters >= CHUNK_CHARACTERS) {
      await flush();
      file.onRows(rows);
    }
  }
  await flush();
  await staged;
  const loose = links.unresolved();
  if (loose.length > 0) {
    await tx.unsafe(`DELETE FROM ${STAGING} WHERE line = ANY($1::bigint[])`, [loose.map((r) => r.line)]);
    await file.setAside(loose);
    setAside += loose.length;
  }
  file.onMerge(rows);
  const merged =
    parser.missingColumn === null
      ? await merge(tx, file.spec, parser.columns, { reach, isUnique: order.isUnique })
      : NOTHING_MERGED;
  const accepted = merged.accepted;
  return {
    rows,
    accepted,
    unchanged: rows - setAside - accepted,
    setAside,
    notes: notesOf(parser, merged, codes.count),
  };
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

interface Merged {
  accepted: number;
  duplicates: number;
  unplaced: string[];
  books: BookChange[];
}

const NOTHING_MERGED: Merged = { accepted: 0, duplicates: 0, unplaced: [], books: [] };

async function merge(
  tx: Sql,
  spec: FileSpec,
  columns: RowParser["columns"],
  { reach, isUnique }: { reach: LogReach | null; isUnique: boolean },
): Promise<Merged> {
  if (spec.kind === "faults" && reach) await makeFaultMonths(tx, reach.months);
  if (reach && isUnique) {
    const accepted = await appendStaged(tx, spec, columns, reach);
    if (accepted !== null) return { ...NOTHING_MERGED, accepted };
  }
  await tx.unsafe(`ANALYZE ${STAGING}`);
  const books = spec.kind === "sites" ? await bookChanges(tx) : [];
  const duplicates = isUnique ? 0 : await dropEarlierDuplicates(tx, columns);
  if (spec.kind === "weather") return { duplicates, books, ...(await mergeWeather(tx, columns)) };
  if (spec.kind === "sites") await makePortfolios(tx);
  const accepted = await mergeStaged(tx, spec, columns);
  await noteReach(tx, spec, columns);
  return { accepted, duplicates, unplaced: [], books };
}

const someOf = (names: readonly string[], most: number) =>
  beginning(`${names.slice(0, most).join(", ")}${names.length > most ? " …" : ""}`, 2000);
const count = (n: number, one: string, many: string) => `${n.toLocaleString("en-US")} ${n === 1 ? one : many}`;

const booksOf = (changes: readonly BookChange[]) =>
  someOf(
    changes.map(({ siteId, from, to }) => `${siteId} (${from} to ${to})`),
    10,
  );

function notesOf(parser: RowParser, merged: Merged, unknownCodes: number): string[] {
  const notes: string[] = [];
  if (parser.unknownColumns.length > 0)
    notes.push(`Columns not in the contract, left out: ${someOf(parser.unknownColumns, 50)}`);
  if (merged.duplicates > 0)
    notes.push(`${count(merged.duplicates, "row has", "rows have")} the key of a later row; the later one counts`);
  const inTwo = merged.books.filter((b) => b.isInFile);
  if (inTwo.length > 0)
    notes.push(
      `A site is in one book, and ${count(inTwo.length, "row puts it", "rows put theirs")} into another than the last row does, which counts: ${booksOf(inTwo)}. Correct the file if the last is wrong`,
    );
  const moved = merged.books.filter((b) => !b.isInFile);
  if (moved.length > 0)
    notes.push(
      `${count(moved.length, "site moves", "sites move")} to another book, and its owner with it: ${booksOf(moved)}. Import the old portfolio again if that is not meant`,
    );
  const { ambiguous, skipped } = parser.times;
  if (ambiguous > 0)
    notes.push(`${count(ambiguous, "local time occurs", "local times occur")} twice in autumn; the first was taken`);
  if (skipped > 0)
    notes.push(`${count(skipped, "local time does", "local times do")} not exist in spring; moved forward by the gap`);
  if (unknownCodes > 0)
    notes.push(
      `${count(unknownCodes, "row has a code that is", "rows have codes that are")} not in the vocabulary; kept, and treated as OTHER`,
    );
  if (merged.unplaced.length > 0) {
    notes.push(`Stations without coordinates, used only where a site names them: ${someOf(merged.unplaced, 10)}`);
  }
  return notes;
}

/** Counts fault codes that their vocabulary does not hold. */
class UnknownCodes {
  count = 0;
  readonly #file: FileImport;
  readonly #at: { site: number; inverter: number; code: number; system: number } | null;
  readonly #known = new Map<string, boolean>();
  /** What the row before said: the next one mostly says the same. */
  #last: { site: string; inverter: string; code: string | null; own: string | null; known: boolean } = {
    site: "",
    inverter: "",
    code: null,
    own: null,
    known: true,
  };

  constructor(file: FileImport, parser: RowParser) {
    const place = (name: string) => parser.columns.findIndex((c) => c.name === name);
    this.#file = file;
    this.#at =
      file.spec.kind === "faults" && place("code") >= 0
        ? { site: place("site_id"), inverter: place("inverter_id"), code: place("code"), system: place("code_system") }
        : null;
  }

  look({ values }: ParsedRow): void {
    const at = this.#at;
    if (!at) return;
    const code = values[at.code] ?? "";
    const own = at.system >= 0 ? (values[at.system] ?? null) : null;
    const [site, inverter] = [values[at.site] ?? "", values[at.inverter] ?? ""];
    const last = this.#last;
    if (site === last.site && inverter === last.inverter && code === last.code && own === last.own) {
      if (!last.known) this.count++;
      return;
    }
    const system = own ?? this.#file.known.codeSystemOf(site, inverter);
    const key = `${system}\u0000${code}`;
    let known = this.#known.get(key);
    if (known === undefined) {
      known = decodeCode(code, system, this.#file.known.meanings).known;
      // A wild file must not grow this without end.
      if (this.#known.size < 100_000) this.#known.set(key, known);
    }
    this.#last = { site, inverter, code, own, known };
    if (!known) this.count++;
  }
}

/** Sections may name each other in any order, so a bond to a section is judged when all rows of the file are known. */
class SectionLinks {
  readonly #file: FileImport;
  readonly #at: { site: number; section: number; bondedTo: number } | null;
  readonly #own = new Set<string>();
  readonly #open: { site: string; own: string; target: string; reject: Reject }[] = [];

  constructor(file: FileImport, parser: RowParser) {
    const place = (name: string) => parser.columns.findIndex((c) => c.name === name);
    this.#file = file;
    this.#at =
      file.spec.kind === "sections"
        ? { site: place("site_id"), section: place("section_id"), bondedTo: place("bonded_to") }
        : null;
  }

  look({ values, line }: ParsedRow, record: CsvRecord): void {
    const at = this.#at;
    if (!at) return;
    const site = values[at.site] ?? "";
    const own = values[at.section] ?? "";
    this.#own.add(`${site}\n${own}`);
    const target = at.bondedTo >= 0 ? values[at.bondedTo] : null;
    if (!target || target === "bus") return;
    const reason =
      target === own
        ? "a section cannot be bonded to itself"
        : `site ${site} has no section ${target} to be bonded to (a section_id of the same site, or bus)`;
    this.#open.push({
      site,
      own,
      target,
      reject: { line, column: "bonded_to", value: target, reason, cells: record.cells },
    });
  }

  unresolved(): Reject[] {
    return this.#open
      .filter(
        ({ site, own, target }) =>
          target === own || !(this.#own.has(`${site}\n${target}`) || this.#file.known.hasSection(site, target)),
      )
      .map(({ reject }) => reject);
  }
}
