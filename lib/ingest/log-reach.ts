import { monthIndex, monthName } from "../contract/plain-time.ts";

/** What the rows of one inverter's log cover, epoch milliseconds. */
export interface InverterReach {
  siteId: string;
  inverterId: string;
  /** Earliest and latest start. */
  first: number;
  last: number;
  /** Latest end, or start where that is later. */
  end: number;
}

/**
 * How far the rows of a log reach, gathered while they stream by, so that the server need not read them over for it.
 * Holds one entry an inverter.
 */
export class LogReach {
  readonly #byInverter = new Map<string, InverterReach>();
  readonly #months = new Set<number>();
  /** Inverters and months that came since they were last asked for. */
  #newInverters: InverterReach[] = [];
  #newMonths: string[] = [];
  #last: InverterReach | null = null;
  /** The month of the row before. */
  #month = -1;

  /** @param end latest of what the row tells; `start` where it tells no end */
  look(siteId: string, inverterId: string, start: number, end: number): void {
    this.extend(this.of(siteId, inverterId), start, end);
  }

  /** The same for a row of an inverter that `of` gave. */
  extend(own: InverterReach, start: number, end: number): void {
    if (start < own.first) own.first = start;
    if (start > own.last) own.last = start;
    if (start > own.end) own.end = start;
    if (end > own.end) own.end = end;
    const month = monthIndex(start);
    if (month !== this.#month) this.#enter(month);
  }

  /** The entry of an inverter; made, and empty, where it had none. */
  of(siteId: string, inverterId: string): InverterReach {
    const last = this.#last;
    // Rows of one inverter are neighbours mostly.
    if (last?.inverterId === inverterId && last.siteId === siteId) return last;
    const key = `${siteId}\n${inverterId}`;
    let own = this.#byInverter.get(key);
    if (!own) {
      own = {
        ...{ siteId, inverterId },
        ...{ first: Number.POSITIVE_INFINITY, last: Number.NEGATIVE_INFINITY, end: Number.NEGATIVE_INFINITY },
      };
      this.#byInverter.set(key, own);
      this.#newInverters.push(own);
    }
    this.#last = own;
    return own;
  }

  #enter(month: number): void {
    this.#month = month;
    if (this.#months.has(month)) return;
    this.#months.add(month);
    this.#newMonths.push(monthName(month));
  }

  get inverters(): InverterReach[] {
    return [...this.#byInverter.values()];
  }

  /** Months that rows begin in, `YYYY-MM`. */
  get months(): string[] {
    return [...this.#months].sort((a, b) => a - b).map(monthName);
  }

  /** Inverters and months that came since the last call. */
  takeNew(): { inverters: InverterReach[]; months: string[] } {
    const taken = { inverters: this.#newInverters, months: this.#newMonths };
    this.#newInverters = [];
    this.#newMonths = [];
    return taken;
  }
}
