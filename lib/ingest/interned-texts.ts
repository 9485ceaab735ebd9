/** A text that came in some cell, with what its owner has learnt of it. */
export interface Interned<T> {
  readonly text: string;
  /** Its bytes, plain ASCII. */
  readonly bytes: Uint8Array;
  readonly about: T;
  /** Another one with the same number of the table. */
  readonly next: Interned<T> | null;
}

/** Cells of a wild file must not fill the memory. */
const MOST_KEPT = 100_000;

/** Texts of one column's cells by their bytes: ids, codes and words come again and again, and no text is made of them then. */
export class InternedTexts<T> {
  readonly #byHash = new Map<number, Interned<T>>();
  readonly #learn: (text: string) => T;
  #last: Interned<T> | null = null;

  /** @param learn asked once a text */
  constructor(learn: (text: string) => T) {
    this.#learn = learn;
  }

  /** The text of some ASCII bytes. */
  of(bytes: Buffer, from: number, to: number): Interned<T> {
    const last = this.#last;
    if (last !== null && isSame(last.bytes, bytes, from, to)) return last;
    let hash = to - from;
    for (let i = from; i < to; i++) hash = (Math.imul(hash, 31) + (bytes[i] as number)) | 0;
    const first = this.#byHash.get(hash) ?? null;
    for (let known = first; known !== null; known = known.next)
      if (isSame(known.bytes, bytes, from, to)) {
        this.#last = known;
        return known;
      }
    if (this.#byHash.size >= MOST_KEPT) this.#byHash.clear();
    const text = bytes.toString("latin1", from, to);
    const own = {
      ...{ text, bytes: Uint8Array.prototype.slice.call(bytes, from, to) },
      ...{ about: this.#learn(text), next: this.#byHash.get(hash) ?? null },
    };
    this.#byHash.set(hash, own);
    this.#last = own;
    return own;
  }
}

function isSame(own: Uint8Array, bytes: Buffer, from: number, to: number): boolean {
  const size = to - from;
  if (own.length !== size) return false;
  for (let i = 0; i < size; i++) if (own[i] !== bytes[from + i]) return false;
  return true;
}
