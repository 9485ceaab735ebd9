/** What spreadsheets take for the beginning of a formula (common practice, no source). */
const FORMULA = /^[=+\-@\t\r]/;
const NUMBER = /^-?\d+(\.\d+)?$/;

/** A cell that no spreadsheet runs: one that looks like a formula and is no number gets an apostrophe in front. */
export const plainCell = (cell: string): string => (FORMULA.test(cell) && !NUMBER.test(cell) ? `'${cell}` : cell);

/** Rows as CSV text (RFC 4180, lines end with CRLF), every cell safe to open in a spreadsheet. */
export function safeCsv(header: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]) =>
    `${cells
      .map(plainCell)
      .map((cell) => (/[",\n\r]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell))
      .join(",")}\r\n`;
  return [header, ...rows].map(line).join("");
}
