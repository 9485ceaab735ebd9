/** One record of a CSV file with the line it starts on. */
export interface CsvRecord {
  cells: string[];
  /** 1 is the first line of the file. */
  line: number;
  /** The record could not be split: why. Its cells are then the raw text alone. */
  broken?: string;
  /** A cell that could not be brought into the contract's form; the row is set aside. */
  unfit?: { column: string; value: string; reason: string };
}

/** A record longer than this, in characters, is a quote that was never closed or no text at all; it is not kept whole. */
export const LONGEST_RECORD = 1_000_000;
/** What is kept of such a record. */
const KEPT_OF_LONGER = 1000;
const TOO_LONG = `longer than ${LONGEST_RECORD.toLocaleString("en-US")} characters, which no row of this kind is; its beginning is kept`;

/**
 * Splits CSV text (RFC 4180) as it arrives. A library reader stops at the first malformed quote; here a broken record
 * must be set aside and the rest read on, so a quote that never closes costs its own line only. Whatever the text, no
 * more than one longest record and the piece just given are held.
 *
 * Quoted cells may hold commas, doubled quotes and line ends; CRLF and LF both end a record; blank lines are no records.
 */
export class CsvSplitter {
  #rest = "";
  #line = 1;
  #first = true;
  /** Not worth another look before the rest is this long: a long record must not be read anew with every piece. */
  #enough = 0;
  /** Inside a line that was too long: everything up to its end is left out. */
  #leavingOut = false;
  readonly #delimiter: string;
  readonly #delimiterCode: number;

  /** @param delimiter one character that parts the cells; the contract's own files have commas */
  constructor(delimiter = ",") {
    this.#delimiter = delimiter;
    this.#delimiterCode = delimiter.charCodeAt(0);
  }

  /** Line that the next record begins on; set where lines before it were read elsewhere. */
  get line(): number {
    return this.#line;
  }
  set line(line: number) {
    this.#line = line;
  }

  /** Nothing is held back: what comes next begins a record, so it may as well be read elsewhere. */
  get isClear(): boolean {
    return this.#rest === "" && !this.#leavingOut;
  }

  /** Records completed by this piece of text. */
  push(text: string): CsvRecord[] {
    if (this.#first && text.length > 0) {
      this.#first = false;
      if (text.charCodeAt(0) === 0xfeff) return this.push(text.slice(1));
    }
    this.#rest += text;
    if (this.#rest.length < this.#enough) return [];
    return this.#take(false);
  }

  /** The last records, when no more text comes. */
  end(): CsvRecord[] {
    const out = this.#take(true);
    this.#rest = "";
    return out;
  }

  #take(last: boolean): CsvRecord[] {
    const out: CsvRecord[] = [];
    const text = this.#rest;
    let at = this.#leavingOut ? this.#afterLeftOut(text) : 0;
    let quote = -2;
    while (at < text.length) {
      const newline = text.indexOf("\n", at);
      if (quote !== -1 && quote < at) quote = text.indexOf('"', at);
      const plainEnd = newline === -1 ? (last ? text.length : -1) : newline;
      let next: number | null;
      if (quote !== -1 && (plainEnd === -1 || quote < plainEnd)) next = this.#quoted(text, at, last, out);
      else if (plainEnd !== -1) next = this.#plain(text, at, plainEnd, out);
      else next = text.length - at > LONGEST_RECORD ? this.#tooLong(text, at, out) : null;
      if (next === null) break;
      at = next;
    }
    this.#rest = text.slice(at);
    this.#enough = this.#rest.length * 2;
    return out;
  }

  /** Where the line that was too long ends in this text; its length when it does not. */
  #afterLeftOut(text: string): number {
    const newline = text.indexOf("\n");
    if (newline === -1) return text.length;
    this.#leavingOut = false;
    return newline + 1;
  }

  #plain(text: string, from: number, end: number, out: CsvRecord[]): number {
    if (end - from > LONGEST_RECORD) return this.#tooLong(text, from, out);
    const stop = end > from && text.charCodeAt(end - 1) === 13 ? end - 1 : end;
    if (stop > from) out.push({ cells: text.slice(from, stop).split(this.#delimiter), line: this.#line });
    this.#line++;
    return end + 1;
  }

  /** A record with quotes: returns where the next begins, or null when more text is needed. */
  #quoted(text: string, from: number, last: boolean, out: CsvRecord[]): number | null {
    const cells: string[] = [];
    const limit = from + LONGEST_RECORD;
    let at = from;
    let lines = 0;
    for (;;) {
      if (text.charCodeAt(at) === 34) {
        const cell = readQuoted(text, at, limit);
        if (cell === null) {
          if (!last && text.length <= limit) return null;
          return this.#brokenLine(text, from, "a quote opens here and is not closed", last, out);
        }
        cells.push(cell.value);
        lines += cell.lines;
        at = cell.end;
      } else {
        const end = endOfBare(text, at, this.#delimiterCode);
        cells.push(text.slice(at, end));
        at = end;
      }
      if (at > limit) return this.#tooLong(text, from, out);
      if (at >= text.length && !last) return null;
      const code = text.charCodeAt(at);
      if (code === this.#delimiterCode) at++;
      else if (
        at >= text.length ||
        code === 10 ||
        (code === 13 && (at + 1 >= text.length || text.charCodeAt(at + 1) === 10))
      ) {
        if (code === 13 && at + 1 >= text.length && !last) return null;
        out.push({ cells, line: this.#line });
        this.#line += lines + 1;
        return code === 13 ? at + 2 : at + 1;
      } else return this.#brokenLine(text, from, "text stands after a closing quote", last, out);
    }
  }

  #brokenLine(text: string, from: number, reason: string, last: boolean, out: CsvRecord[]): number | null {
    const newline = text.indexOf("\n", from);
    const end = newline === -1 ? text.length : newline;
    if (end - from > LONGEST_RECORD) return this.#tooLong(text, from, out);
    if (newline === -1 && !last) return null;
    out.push({ cells: [text.slice(from, end).replace(/\r$/, "")], line: this.#line, broken: reason });
    this.#line++;
    return end + 1;
  }

  #tooLong(text: string, from: number, out: CsvRecord[]): number {
    out.push({ cells: [beginning(text, KEPT_OF_LONGER, from)], line: this.#line, broken: TOO_LONG });
    this.#line++;
    const newline = text.indexOf("\n", from);
    if (newline !== -1) return newline + 1;
    this.#leavingOut = true;
    return text.length;
  }
}

function readQuoted(text: string, from: number, limit: number): { value: string; end: number; lines: number } | null {
  let value = "";
  let at = from + 1;
  for (;;) {
    const quote = text.indexOf('"', at);
    if (quote === -1 || quote > limit) return null;
    value += text.slice(at, quote);
    if (text.charCodeAt(quote + 1) !== 34) {
      const lines = value.includes("\n") ? value.split("\n").length - 1 : 0;
      return { value, end: quote + 1, lines };
    }
    value += '"';
    at = quote + 2;
  }
}

/** End of a cell without quotes: the next delimiter or line end. */
function endOfBare(text: string, from: number, delimiter: number): number {
  for (let i = from; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (code === delimiter || code === 10) return code === 10 && i > from && text.charCodeAt(i - 1) === 13 ? i - 1 : i;
  }
  return text.length;
}

/** The first characters of a text, never half of a surrogate pair: PostgreSQL takes no half. */
export function beginning(text: string, most: number, from = 0): string {
  const cut = text.slice(from, from + most);
  return cut.length === most ? cut.replace(/[\ud800-\udbff]$/, "") : cut;
}

/** One record as CSV text, quoted where it must be. */
export function csvLine(cells: readonly string[]): string {
  return `${cells.map((cell) => (/[",\n\r]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell)).join(",")}\n`;
}

/** Signs with which a spreadsheet takes a cell for a formula, behind any apostrophes that guard them already. */
const FORMULA = /^'*[=+\-@\t\r\uff1d\uff0b\uff0d\uff20]/;
const NUMBER = /^[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?$/;

/**
 * A cell as it leaves the house: what a spreadsheet would run as a formula gets an apostrophe in front. Numbers, also
 * negative ones, stay as they are. `unguarded` gives back exactly what was recorded.
 */
export function guarded(cell: string): string {
  return FORMULA.test(cell) && !NUMBER.test(cell) ? `'${cell}` : cell;
}

/** What stood in a cell before `guarded`. */
export function unguarded(cell: string): string {
  return cell.charCodeAt(0) === 39 && FORMULA.test(cell) ? cell.slice(1) : cell;
}
