/** What the next cell, or a row, ends with; or why it is not to be read here. */
export const COMMA = 1;
const LINE_END = 2;
const RETURN = 3;
const QUOTE = 4;
const OTHER = 5;

/** A line is not at its end yet. */
export const INCOMPLETE = -1;
/** A line holds something that is better left to the reader of all CSV. */
export const UNUSUAL = -2;

/** What each byte is to a line of CSV; 0: a printable character like any other. */
const CLASS = Uint8Array.from({ length: 256 }, (_, byte) => {
  if (byte === 44) return COMMA;
  if (byte === 10) return LINE_END;
  if (byte === 13) return RETURN;
  if (byte === 34) return QUOTE;
  return byte < 32 || byte > 126 ? OTHER : 0;
});
const classOf = (bytes: Buffer, at: number) => CLASS[bytes[at] as number] as number;

/**
 * Where the cells of a line lie, without making texts of them: lines of printable ASCII whose quoted cells hold no quotes and
 * no line ends. Everything else is `UNUSUAL`.
 */
export class PlainCells {
  readonly from: Int32Array;
  readonly to: Int32Array;
  /** Cells found in the line before; 0: it was blank. */
  count = 0;

  constructor(width: number) {
    this.from = new Int32Array(width);
    this.to = new Int32Array(width);
  }

  /** Read a line. @returns where the next begins, INCOMPLETE or UNUSUAL */
  read(bytes: Buffer, line: number): number {
    const size = bytes.length;
    const width = this.from.length;
    let count = 0;
    let at = line;
    for (;;) {
      let from = at;
      while (at < size && CLASS[bytes[at] as number] === 0) at++;
      let to = at;
      if (at < size && at === from && classOf(bytes, at) === QUOTE) {
        from = ++at;
        while (at < size && classOf(bytes, at) <= COMMA) at++;
        to = at;
        if (at < size && classOf(bytes, at) !== QUOTE) return UNUSUAL;
        at++;
      }
      if (at >= size) return INCOMPLETE;
      let end = classOf(bytes, at++);
      if (end === RETURN) {
        if (at >= size) return INCOMPLETE;
        end = classOf(bytes, at++) === LINE_END ? LINE_END : OTHER;
      }
      if (end > LINE_END || count === width) return UNUSUAL;
      this.from[count] = from;
      this.to[count++] = to;
      if (end === COMMA) continue;
      // A line of nothing is no record; one of an empty pair of quotes is.
      this.count = count === 1 && from === line && to === line ? 0 : count;
      return this.count === 0 || count === width ? at : UNUSUAL;
    }
  }
}
