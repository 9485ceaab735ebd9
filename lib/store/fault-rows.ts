import type { FaultRow } from "../core/records.ts";
import * as r from "../core/records.ts";
import { FaultRowSchema, selectList } from "./record-rows.ts";
import type { Sql } from "./transaction.ts";

/** A fault as it is stored: without a vocabulary where its row named none. */
export type StoredFault = Omit<FaultRow, "codeSystem"> & { codeSystem: string | null };

/**
 * The fault rows of some sites, in no order. Logs are most of what a score reads, so they are taken
 * from the server's bytes: a text that stood in the row before is that string again, and a time is read digit by digit.
 * @throws RangeError when a stored word is none of its column's
 */
export async function forEachFault(tx: Sql, siteIds: string[], take: (row: StoredFault) => void): Promise<void> {
  const columns = Object.keys(FaultRowSchema.shape).map(() => new TextColumn());
  const text = (cells: readonly (Buffer | null)[], i: number) => (columns[i] as TextColumn).read(cells[i] ?? null);
  await tx
    .unsafe(
      `SELECT ${selectList(FaultRowSchema)} FROM fault WHERE account_id = current_account() AND site_id = ANY($1)`,
      [siteIds],
      // A log lies in a table a month: planning over all of them takes as long as reading a few sites.
      { prepare: true },
    )
    .raw()
    .forEach((cells: (Buffer | null)[]) => {
      take({
        siteId: text(cells, 0) as string,
        inverterId: text(cells, 1) as string,
        startedAt: instantOf(cells[2] as Buffer),
        endedAt: instantOrNull(cells[3] ?? null),
        code: text(cells, 4) as string,
        codeSystem: text(cells, 5),
        message: text(cells, 6),
        resetAt: instantOrNull(cells[7] ?? null),
        resetBy: oneOf(r.RESET_BY, text(cells, 8)),
        ticketId: text(cells, 9),
        closedAs: oneOf(r.CLOSED_AS, text(cells, 10)),
      });
    });
}

/** Texts of one column, of which the same come again row after row. */
class TextColumn {
  #bytes: Buffer | null = null;
  #text = "";

  read(cell: Buffer | null): string | null {
    if (cell === null) return null;
    if (this.#bytes === null || !isSame(this.#bytes, cell)) {
      this.#bytes = cell;
      this.#text = cell.toString("utf8");
    }
    return this.#text;
  }
}

function isSame(a: Buffer, b: Buffer): boolean {
  if (a.length !== b.length) return false;
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
  return true;
}

function oneOf<T extends string>(words: readonly T[], word: string | null): T | null {
  if (word !== null && !words.includes(word as T)) throw new RangeError(`a stored fault row holds the word "${word}"`);
  return word as T | null;
}

const instantOrNull = (cell: Buffer | null) => (cell === null ? null : instantOf(cell));

const ZERO = 48;
const [PLUS, DOT] = [43, 46];
const two = (cell: Buffer, at: number) => 10 * ((cell[at] as number) - ZERO) + (cell[at + 1] as number) - ZERO;

let day = { text: -1, at: 0 };

/** `YYYY-MM-DD hh:mm:ss[.ffffff]+00` as the server writes it; anything else is left to the engine's own reader. */
function instantOf(cell: Buffer): number {
  const end = cell.length - 3;
  const isPlain = end >= 19 && cell[end] === PLUS && cell[end + 1] === ZERO && cell[end + 2] === ZERO && cell[4] === 45;
  if (!isPlain || (end > 19 && cell[19] !== DOT)) return new Date(cell.toString("latin1")).getTime();
  const text = (100 * two(cell, 0) + two(cell, 2)) * 10_000 + two(cell, 5) * 100 + two(cell, 8);
  if (text !== day.text)
    day = { text, at: Date.UTC(100 * two(cell, 0) + two(cell, 2), two(cell, 5) - 1, two(cell, 8)) };
  // Milliseconds are what an instant holds: what is finer is cut off, as the engine's reader does.
  let ms = 0;
  for (let i = 20, unit = 100; i < end && unit >= 1; i++, unit /= 10) ms += unit * ((cell[i] as number) - ZERO);
  return day.at + two(cell, 11) * 3_600_000 + two(cell, 14) * 60_000 + two(cell, 17) * 1000 + ms;
}
