import { isoTextMs } from "../contract/plain-time.ts";
import type { ParsedRow, RowParser } from "../contract/row-parser.ts";

/** Milliseconds from 1970 to PostgreSQL's own beginning of time, 2000-01-01 UTC. */
const SINCE_1970_MS = 946_684_800_000;
const DAY_MS = 86_400_000;
const TWO_32 = 4_294_967_296;

/** What a file of COPY's binary format begins with: its signature, no flags, no more header. */
const SIGNATURE = Buffer.from("PGCOPY\n\xff\r\n\0\0\0\0\0\0\0\0\0", "latin1");
const FIRST_BYTES = 1 << 16;
/** Largest field that is no text, with its length. */
const MOST_FIELD = 12;

/**
 * Rows as the bytes that COPY takes in its binary format (PostgreSQL documentation of COPY, "Binary Format"), so that the
 * server need read neither numbers nor times. Texts of rows that were kept until a chunk is full would outlive their time.
 */
export class StagedLines {
  rows = 0;
  /** Room for what comes, filled up to `length`; whoever writes into it asks `room` first. */
  bytes = Buffer.allocUnsafe(FIRST_BYTES);
  length = 0;
  readonly #columns: RowParser["columns"];
  readonly #writers: readonly ((lines: StagedLines, value: string) => void)[];

  constructor(columns: RowParser["columns"]) {
    this.#columns = columns;
    this.#writers = columns.map((c) => WRITERS[c.sql] ?? writeText);
    this.clear();
  }

  /** Begin anew, in the room that is there. */
  clear(): void {
    this.rows = 0;
    this.length = SIGNATURE.copy(this.bytes);
  }

  /** See to it that so many bytes fit in behind what is there. */
  room(bytes: number): void {
    const most = this.length + bytes;
    if (most <= this.bytes.length) return;
    const larger = Buffer.allocUnsafe(2 * most);
    this.bytes.copy(larger, 0, 0, this.length);
    this.bytes = larger;
  }

  /** A row begins: its number of fields and its line. Room for them must be there, and all of its columns have to follow. */
  begin(line: number): void {
    this.rows++;
    const { bytes, length } = this;
    const fields = this.#columns.length + 1;
    bytes[length] = fields >> 8;
    bytes[length + 1] = fields;
    this.length = length + 2;
    this.#whole(line);
  }

  add({ line, values }: ParsedRow): void {
    // A character takes at most three bytes in UTF-8 (a pair of surrogates four for two).
    let most = 2 + MOST_FIELD;
    for (const value of values) most += value === null ? 4 : 3 * value.length + MOST_FIELD;
    this.room(most);
    this.begin(line);
    for (let i = 0; i < values.length; i++) {
      const value = values[i] as string | null;
      if (value === null) this.unknown();
      else (this.#writers[i] as (lines: StagedLines, value: string) => void)(this, value);
    }
  }

  /** A field without a value. */
  unknown(): void {
    this.size(-1);
  }

  /** A field of this many bytes begins. */
  size(bytes: number): void {
    const { bytes: to, length } = this;
    to[length] = bytes >>> 24;
    to[length + 1] = bytes >>> 16;
    to[length + 2] = bytes >>> 8;
    to[length + 3] = bytes;
    this.length = length + 4;
  }

  /** A text of plain ASCII. */
  plain(bytes: Uint8Array, from: number, to: number): void {
    this.size(to - from);
    const { bytes: into } = this;
    let at = this.length;
    for (let i = from; i < to; i++) into[at++] = bytes[i] as number;
    this.length = at;
  }

  /** A time, epoch milliseconds. */
  time(ms: number): void {
    this.#whole(1000 * (ms - SINCE_1970_MS));
  }

  /** A whole number of eight bytes. */
  #whole(value: number): void {
    this.size(8);
    const { bytes, length } = this;
    const high = Math.floor(value / TWO_32);
    const low = value - high * TWO_32;
    bytes[length] = high >>> 24;
    bytes[length + 1] = high >>> 16;
    bytes[length + 2] = high >>> 8;
    bytes[length + 3] = high;
    bytes[length + 4] = low >>> 24;
    bytes[length + 5] = low >>> 16;
    bytes[length + 6] = low >>> 8;
    bytes[length + 7] = low;
    this.length = length + 8;
  }

  /** All of it with its end, as one COPY; good until the next row or `clear`. */
  copy(): Buffer {
    this.room(2);
    this.bytes.writeInt16BE(-1, this.length);
    return this.bytes.subarray(0, this.length + 2);
  }
}

function writeText(lines: StagedLines, value: string): void {
  const at = lines.length + 4;
  const { bytes } = lines;
  const n = value.length;
  let i = 0;
  // Short texts of plain letters are most: faster than to ask the runtime.
  if (n < 64)
    for (; i < n; i++) {
      const code = value.charCodeAt(i);
      if (code > 127) break;
      bytes[at + i] = code;
    }
  const written = i === n ? n : bytes.write(value, at);
  lines.size(written);
  lines.length += written;
}

function writeTime(lines: StagedLines, value: string): void {
  const ms = isoTextMs(value);
  if (Number.isNaN(ms)) throw new RangeError(`a staged time must be as toISOString writes it, not ${value}`);
  lines.time(ms);
}

function writeDouble(lines: StagedLines, value: string): void {
  lines.size(8);
  lines.length = lines.bytes.writeDoubleBE(Number(value), lines.length);
}

function writeInteger(lines: StagedLines, value: string): void {
  lines.size(4);
  lines.length = lines.bytes.writeInt32BE(Number(value), lines.length);
}

function writeDate(lines: StagedLines, value: string): void {
  lines.size(4);
  lines.length = lines.bytes.writeInt32BE((Date.parse(value) - SINCE_1970_MS) / DAY_MS, lines.length);
}

function writeBoolean(lines: StagedLines, value: string): void {
  lines.size(1);
  lines.bytes[lines.length++] = value === "t" ? 1 : 0;
}

const WRITERS: Readonly<Record<string, (lines: StagedLines, value: string) => void>> = {
  timestamptz: writeTime,
  "double precision": writeDouble,
  integer: writeInteger,
  date: writeDate,
  boolean: writeBoolean,
};
