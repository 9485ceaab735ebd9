import type { ParsedRow, RowParser } from "../contract/row-parser.ts";

/**
 * Tells whether rows that stream by can hold the same key twice, without keeping them. Logs come by time, or site by site
 * and by time within; two rows of one key are then neighbours in time, and only those of one instant are kept.
 */
export class KeyOrder {
  /** False as soon as a key came twice, or the order no longer tells. */
  isUnique: boolean;
  readonly #keys: number[];
  readonly #time: number;
  readonly #groups = new Set<string>();
  #group = "";
  #at = "";
  #sameInstant = new Set<string>();
  /** The first row of the instant, while it is the only one. */
  #first: ParsedRow["values"] | null = null;
  #byTime = true;
  #byGroup = true;

  constructor(columns: RowParser["columns"]) {
    this.#keys = columns.flatMap((c, i) => (c.key ? [i] : []));
    this.#time = columns.findIndex((c) => c.key && c.sql === "timestamptz");
    this.isUnique = this.#time >= 0;
  }

  look({ values }: ParsedRow): void {
    if (!this.isUnique) return;
    const group = values[this.#keys[0] as number] ?? "";
    // Times are as toISOString gives them: their text sorts as they do.
    const at = values[this.#time] ?? "";
    if (at < this.#at) this.#byTime = false;
    if (group !== this.#group) {
      if (this.#groups.has(group)) this.#byGroup = false;
      else this.#groups.add(group);
    } else if (at < this.#at) this.#byGroup = false;
    const isAlone = at !== this.#at || (group !== this.#group && !this.#byTime);
    this.#group = group;
    this.#at = at;
    this.isUnique = this.#byTime || this.#byGroup;
    if (isAlone) {
      this.#sameInstant.clear();
      this.#first = values;
      return;
    }
    // Keys are written out only where an instant comes again.
    if (this.#first) this.#sameInstant.add(this.#keyOf(this.#first));
    this.#first = null;
    const key = this.#keyOf(values);
    this.isUnique &&= !this.#sameInstant.has(key);
    this.#sameInstant.add(key);
  }

  #keyOf(values: ParsedRow["values"]): string {
    let key = "";
    for (const i of this.#keys) key += `${values[i]}\u0000`;
    return key;
  }
}
