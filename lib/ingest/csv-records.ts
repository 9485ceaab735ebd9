/** One record of a CSV file with the line it starts on. */
export interface CsvRecord {
  cells: string[];
  /** 1 is the first line of the file. */
  line: number;
  /** The record could not be split: why. Its cells are then the raw text alone. */
  broken?: string;
}

/** A record longer than this is a quote that was never closed, not data. */
const LONGEST_RECORD = 1_000_000;

/**
 * Splits CSV text (RFC 4180) as it arrives. A library reader stops at the first malformed quote; here a broken record
 * must be set aside and the rest read on, so a quote that never closes costs its own line only.
 *
 * Quoted cells may hold commas, doubled quotes and line ends; CRLF and LF both end a record; blank lines are no records.
 */
export class CsvSplitter {
  #rest = "";
  #line = 1;
  #first = true;

  /** Records completed by this piece of text. */
  push(text: string): CsvRecord[] {
    if (this.#first && text.length > 0) {
      this.#first = false;
      if (text.charCodeAt(0) === 0xfeff) return this.push(text.slice(1));
    }
    this.#rest += text;
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
    let at = 0;
    const text = this.#rest;
    while (at < text.length) {
      const newline = text.indexOf("\n", at);
      const quote = text.indexOf('"', at);
      const plainEnd = newline === -1 ? (last ? text.length : -1) : newline;
      if (plainEnd !== -1 && (quote === -1 || quote > plainEnd)) {
        at = this.#plain(text, at, plainEnd, out);
        continue;
      }
      if (plainEnd === -1 && quote === -1) break;
      const next = this.#quoted(text, at, last, out);
      if (next === null) break;
      at = next;
    }
    this.#rest = text.slice(at);
    return out;
  }

  #plain(text: string, from: number, end: number, out: CsvRecord[]): number {
    const stop = end > from && text.charCodeAt(end - 1) === 13 ? end - 1 : end;
    if (stop > from) out.push({ cells: text.slice(from, stop).split(","), line: this.#line });
    this.#line++;
    return end + 1;
  }

  /** A record with quotes: returns where the next begins, or null when more text is needed. */
  #quoted(text: string, from: number, last: boolean, out: CsvRecord[]): number | null {
    const cells: string[] = [];
    let at = from;
    let lines = 0;
    for (;;) {
      if (text.charCodeAt(at) === 34) {
        const cell = readQuoted(text, at);
        if (cell === null) {
          if (!last && text.length - from < LONGEST_RECORD) return null;
          return this.#brokenLine(text, from, "a quote opens here and is not closed", out);
        }
        cells.push(cell.value);
        lines += cell.lines;
        at = cell.end;
      } else {
        const end = endOfBare(text, at);
        cells.push(text.slice(at, end));
        at = end;
      }
      if (at >= text.length && !last) return null;
      const code = text.charCodeAt(at);
      if (code === 44) at++;
      else if (
        at >= text.length ||
        code === 10 ||
        (code === 13 && (at + 1 >= text.length || text.charCodeAt(at + 1) === 10))
      ) {
        if (code === 13 && at + 1 >= text.length && !last) return null;
        out.push({ cells, line: this.#line });
        this.#line += lines + 1;
        return code === 13 ? at + 2 : at + 1;
      } else return this.#brokenLine(text, from, "text stands after a closing quote", out);
    }
  }

  #brokenLine(text: string, from: number, reason: string, out: CsvRecord[]): number {
    const newline = text.indexOf("\n", from);
    const end = newline === -1 ? text.length : newline;
    out.push({ cells: [text.slice(from, end).replace(/\r$/, "")], line: this.#line, broken: reason });
    this.#line++;
    return end + 1;
  }
}

function readQuoted(text: string, from: number): { value: string; end: number; lines: number } | null {
  let value = "";
  let at = from + 1;
  for (;;) {
    const quote = text.indexOf('"', at);
    if (quote === -1) return null;
    value += text.slice(at, quote);
    if (text.charCodeAt(quote + 1) !== 34) {
      const lines = value.includes("\n") ? value.split("\n").length - 1 : 0;
      return { value, end: quote + 1, lines };
    }
    value += '"';
    at = quote + 2;
  }
}

/** End of a cell without quotes: the next comma or line end. */
function endOfBare(text: string, from: number): number {
  for (let i = from; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (code === 44 || code === 10) return code === 10 && i > from && text.charCodeAt(i - 1) === 13 ? i - 1 : i;
  }
  return text.length;
}

/** One record as CSV text, quoted where it must be. */
export function csvLine(cells: readonly string[]): string {
  return `${cells.map((cell) => (/[",\n\r]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell)).join(",")}\n`;
}
