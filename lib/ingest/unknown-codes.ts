import { decodeCode } from "../faults/fault-code.ts";
import type { AccountRecords } from "./known-records.ts";

/** A wild file must not fill the memory with its codes. */
const MOST_KEPT = 100_000;

/** Counts rows of faults whose code their vocabulary does not hold. */
export class UnknownCodes {
  count = 0;
  readonly #records: AccountRecords;
  readonly #known = new Map<string, boolean>();
  /** What the row before said: the next one mostly says the same. */
  #last: { site: string; inverter: string; code: string; own: string | null; known: boolean } = {
    ...{ site: "", inverter: "", code: "", own: null },
    known: true,
  };

  constructor(records: AccountRecords) {
    this.#records = records;
  }

  /** @param own vocabulary that the row names; null: the inverter's */
  look(site: string, inverter: string, code: string, own: string | null): void {
    const last = this.#last;
    if (site !== last.site || inverter !== last.inverter || code !== last.code || own !== last.own) {
      const known = this.isKnown(own ?? this.#records.codeSystemOf(site, inverter), code);
      this.#last = { site, inverter, code, own, known };
    }
    if (!this.#last.known) this.count++;
  }

  /** Whether a vocabulary holds a code. */
  isKnown(system: string, code: string): boolean {
    const key = `${system}\u0000${code}`;
    let known = this.#known.get(key);
    if (known === undefined) {
      known = decodeCode(code, system, this.#records.meanings).known;
      if (this.#known.size < MOST_KEPT) this.#known.set(key, known);
    }
    return known;
  }
}
