import { beginning } from "../contract/csv-records.ts";
import type { RowParser } from "../contract/row-parser.ts";
import type { BookChange } from "./merge.ts";

/** What became of the rows of one file. */
export interface Merged {
  /** New or changed. */
  accepted: number;
  /** Rows whose key a later row had. */
  duplicates: number;
  /** Stations without coordinates. */
  unplaced: string[];
  books: BookChange[];
}

const someOf = (names: readonly string[], most: number) =>
  beginning(`${names.slice(0, most).join(", ")}${names.length > most ? " …" : ""}`, 2000);
const count = (n: number, one: string, many: string) => `${n.toLocaleString("en-US")} ${n === 1 ? one : many}`;

const booksOf = (changes: readonly BookChange[]) =>
  someOf(
    changes.map(({ siteId, from, to }) => `${siteId} (${from} to ${to})`),
    10,
  );

/** What reading and merging a file met, for people. */
export function notesOf(
  parser: Pick<RowParser, "unknownColumns" | "times">,
  merged: Omit<Merged, "accepted">,
  unknownCodes: number,
): string[] {
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
