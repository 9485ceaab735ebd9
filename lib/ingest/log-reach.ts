import type { ParsedRow, RowParser } from "../contract/row-parser.ts";

/** What the rows of one inverter's log cover; times as toISOString gives them, whose text sorts as they do. */
export interface InverterReach {
  siteId: string;
  inverterId: string;
  /** Earliest and latest start. */
  first: string;
  last: string;
  /** Latest end, or start where that is later. */
  end: string;
}

/**
 * How far the rows of a log reach, gathered while they stream by, so that the server need not read them over for it.
 * Holds one entry an inverter.
 */
export class LogReach {
  readonly #byInverter = new Map<string, InverterReach>();
  readonly #months = new Set<string>();
  readonly #at: { site: number; inverter: number; start: number; end: number };
  #last: InverterReach | null = null;
  #month = "";

  /** @param start column of the time that a row begins at */
  constructor(columns: RowParser["columns"], start: string) {
    const place = (name: string) => columns.findIndex((c) => c.name === name);
    this.#at = { site: place("site_id"), inverter: place("inverter_id"), start: place(start), end: place("ended_at") };
  }

  look({ values }: ParsedRow): void {
    const { site, inverter, start, end } = this.#at;
    const at = values[start] ?? "";
    const until = (end >= 0 ? values[end] : null) ?? at;
    const own = this.#of(values[site] ?? "", values[inverter] ?? "", at);
    if (at < own.first) own.first = at;
    if (at > own.last) own.last = at;
    if (until > own.end) own.end = until;
    if (at > own.end) own.end = at;
    if (at.startsWith(this.#month) && this.#month !== "") return;
    this.#month = at.slice(0, "YYYY-MM".length);
    this.#months.add(this.#month);
  }

  #of(siteId: string, inverterId: string, at: string): InverterReach {
    const last = this.#last;
    // Rows of one inverter are neighbours mostly.
    if (last?.inverterId === inverterId && last.siteId === siteId) return last;
    const key = `${siteId}\n${inverterId}`;
    let own = this.#byInverter.get(key);
    if (!own) {
      own = { siteId, inverterId, first: at, last: at, end: at };
      this.#byInverter.set(key, own);
    }
    this.#last = own;
    return own;
  }

  get inverters(): InverterReach[] {
    return [...this.#byInverter.values()];
  }

  /** Months that rows begin in, `YYYY-MM`. */
  get months(): string[] {
    return [...this.#months].sort();
  }
}
