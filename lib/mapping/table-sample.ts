import { type CsvRecord, CsvSplitter } from "../contract/csv-records.ts";
import { DELIMITERS, type TableSample } from "./mapping.ts";

/** Titles, units and empty lines above the names of the columns: no more than this many. */
const MOST_ABOVE = 30;

/** Records of a text cut by one delimiter. */
function cut(text: string, delimiter: string, whole: boolean): CsvRecord[] {
  const splitter = new CsvSplitter(delimiter);
  const records = splitter.push(text);
  return whole ? [...records, ...splitter.end()] : records;
}

/** How many of the rows have the most common number of cells, where that is more than one. */
function evenness(records: CsvRecord[]): number {
  const counts = new Map<number, number>();
  for (const { cells } of records) if (cells.length > 1) counts.set(cells.length, (counts.get(cells.length) ?? 0) + 1);
  let best = 0;
  for (const [width, n] of counts) best = Math.max(best, n * 1000 + Math.min(width, 999));
  return best;
}

const looksLikeData = (cell: string) => /^[+-]?[\d.,:/\-\s]*\d[\d.,:/\-\s%]*$/.test(cell.trim()) && cell.trim() !== "";

/**
 * The beginning of a file, cut by the delimiter under which its rows have the same number of cells, from the first row that
 * reads like names of columns.
 * @param text the beginning of the file
 * @param whole whether it is all of it
 * @param as delimiter and header that somebody said
 */
export function tableSample(
  file: string,
  text: string,
  whole: boolean,
  as: { [part in "delimiter" | "headerAt" | "encoding"]?: TableSample[part] | undefined } = {},
): TableSample {
  const tried = (as.delimiter ? [as.delimiter] : DELIMITERS).map((delimiter) => {
    const records = cut(text, delimiter, whole);
    return { delimiter, records, even: evenness(records) };
  });
  const { delimiter, records } = tried.reduce((a, b) => (b.even > a.even ? b : a));
  const headerAt = as.headerAt ?? headerPlace(records);
  const header = (records[headerAt]?.cells ?? []).map((cell) => cell.trim());
  return {
    file,
    delimiter,
    encoding: as.encoding ?? "utf-8",
    headerAt,
    header,
    rows: records.slice(headerAt + 1).map((r) => r.cells),
  };
}

/** The first record as wide as most rows that holds words, no numbers or times. */
function headerPlace(records: CsvRecord[]): number {
  const width = new Map<number, number>();
  for (const { cells } of records) width.set(cells.length, (width.get(cells.length) ?? 0) + 1);
  const usual = [...width].sort((a, b) => b[1] - a[1] || b[0] - a[0])[0]?.[0] ?? 0;
  const at = records
    .slice(0, MOST_ABOVE)
    .findIndex(
      ({ cells }) =>
        cells.length === usual &&
        cells.filter((cell) => cell.trim() !== "").length > cells.length / 2 &&
        !cells.some(looksLikeData),
    );
  return Math.max(0, at);
}
