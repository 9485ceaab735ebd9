import type { CsvRecord } from "../contract/csv-records.ts";
import type { FileSpec } from "../contract/file-spec.ts";
import { isoTextMs } from "../contract/plain-time.ts";
import { isReject, type ParsedRow, type Reject, type RowParser, rowParser } from "../contract/row-parser.ts";
import { KeyOrder } from "./key-order.ts";
import type { AccountRecords } from "./known-records.ts";
import { LogReach } from "./log-reach.ts";
import { startOf } from "./merge.ts";
import { SectionLinks } from "./section-links.ts";
import { StagedLines } from "./staged-lines.ts";
import { UnknownCodes } from "./unknown-codes.ts";

/** Rows sent to the server at once: large enough for COPY to be fast, small enough to keep memory flat. */
const CHUNK = 30_000;
/** The first chunk is smaller, so that the server need not wait for it; each is twice the one before. */
const FIRST_CHUNK = 4000;
/** The same of rows set aside, which are kept as texts until then. */
const CHUNK_BAD = 10_000;
/** The same in characters of the rows set aside and stored: long rows must not fill the memory. */
const CHUNK_CHARACTERS = 4_000_000;

export interface ReadFile {
  spec: FileSpec;
  header: string[];
  known: AccountRecords;
  defaults: Readonly<Record<string, string>>;
  /** Rows sent to the server at once, where it is not the usual number. */
  rowsAtOnce?: number;
}

/** One chunk of a file's rows, ready to be sent. */
export interface Chunk {
  lines: StagedLines;
  bad: Reject[];
}

/** Takes the rows of a file one by one: used and set aside, and what all of them together say. */
export class TakenRows {
  rows = 0;
  setAside = 0;
  readonly parser: RowParser;
  readonly codes: UnknownCodes;
  readonly links: SectionLinks;
  /** null: the index of the table will tell whether a key comes twice. */
  readonly order: KeyOrder | null;
  readonly reach: LogReach | null;
  /** Where the chunk that is being filled holds its rows; the other one is on its way to the server. */
  lines: StagedLines;
  #spare: StagedLines;
  #bad: Reject[] = [];
  #characters = 0;
  readonly #most: number;
  #rowsAtOnce: number;
  readonly #at: { site: number; inverter: number; start: number; end: number; code: number; system: number };

  /** @param asks.order whether it is to be known that no key comes twice */
  constructor({ spec, header, known, defaults, rowsAtOnce = CHUNK }: ReadFile, asks: { order: boolean }) {
    this.#most = rowsAtOnce;
    this.#rowsAtOnce = Math.min(rowsAtOnce, FIRST_CHUNK);
    this.parser = rowParser(spec, header, known, defaults);
    const { columns } = this.parser;
    this.codes = new UnknownCodes(known);
    this.links = new SectionLinks(spec, columns, known);
    this.order = asks.order ? new KeyOrder(columns) : null;
    this.reach = spec.isLog ? new LogReach() : null;
    this.lines = new StagedLines(columns);
    this.#spare = new StagedLines(columns);
    const place = (name: string) => columns.findIndex((c) => c.name === name);
    this.#at = {
      ...{ site: place("site_id"), inverter: place("inverter_id") },
      ...{ start: place(startOf(spec)), end: place("ended_at") },
      ...{ code: spec.kind === "faults" ? place("code") : -1, system: place("code_system") },
    };
  }

  /** Take one record. */
  take(record: CsvRecord): void {
    this.rows++;
    const parsed = this.parser.parse(record);
    for (const cell of record.cells) this.#characters += cell.length + 1;
    if (isReject(parsed)) {
      this.#bad.push(parsed);
      return;
    }
    this.lines.add(parsed);
    this.links.look(parsed, record);
    this.order?.look(parsed);
    if (this.reach) this.#lookAtLog(this.reach, parsed.values);
  }

  #lookAtLog(reach: LogReach, values: ParsedRow["values"]): void {
    const at = this.#at;
    const [site, inverter] = [values[at.site] ?? "", values[at.inverter] ?? ""];
    const start = isoTextMs(values[at.start] ?? "");
    const until = at.end < 0 ? null : (values[at.end] ?? null);
    reach.look(site, inverter, start, until === null ? start : isoTextMs(until));
    if (at.code >= 0) this.codes.look(site, inverter, values[at.code] ?? "", values[at.system] ?? null);
  }

  /** Whether it is time to send what was taken. */
  get isFull(): boolean {
    const { rows, length } = this.lines;
    return rows >= this.#rowsAtOnce || this.#bad.length >= CHUNK_BAD || this.#characters + length >= CHUNK_CHARACTERS;
  }

  /** What was taken since the last time. The chunk before must be with the server by now: its room is filled next. */
  handOver(): Chunk {
    const chunk = { lines: this.lines, bad: this.#bad };
    this.setAside += this.#bad.length;
    this.lines = this.#spare;
    this.lines.clear();
    this.#spare = chunk.lines;
    this.#bad = [];
    this.#characters = 0;
    this.#rowsAtOnce = Math.min(this.#most, 2 * this.#rowsAtOnce);
    return chunk;
  }
}
