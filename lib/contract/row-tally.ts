import type { Reject } from "./row-parser.ts";

/** Rows that would be set aside for one reason, with the first of them. */
export interface TalliedReason {
  column: string;
  reason: string;
  rows: number;
  line: number;
  value: string;
}

const KEPT_REASONS = 1000;

/** Counts rows by why they cannot be used. Reasons hold a row's own words at times, so no more than a thousand are kept apart. */
export class RowTally {
  rows = 0;
  setAside = 0;
  readonly #reasons = new Map<string, TalliedReason>();

  add(rejected: Reject | null): void {
    this.rows++;
    if (!rejected) return;
    this.setAside++;
    const { column, reason, line, value } = rejected;
    const key = `${column}\n${reason}`;
    const had = this.#reasons.get(key);
    if (had) had.rows++;
    else if (this.#reasons.size < KEPT_REASONS)
      this.#reasons.set(key, { column, reason, rows: 1, line, value: value.slice(0, 100) });
  }

  /** The commonest first. */
  reasons(most: number): TalliedReason[] {
    return [...this.#reasons.values()].sort((a, b) => b.rows - a.rows).slice(0, most);
  }
}
