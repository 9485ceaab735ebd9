/** What this process does for each account, or for itself, once in a while: not at every round of its worker. */
export class Seldom {
  readonly #everyMs: number;
  readonly #last = new Map<number, number>();

  constructor(everyMs: number) {
    this.#everyMs = everyMs;
  }

  /** Whether it is time again; if so, it counts as done. @param of account, 0 for the process */
  isDue(of: number, now: number): boolean {
    if (now - (this.#last.get(of) ?? Number.NEGATIVE_INFINITY) < this.#everyMs) return false;
    this.#last.set(of, now);
    return true;
  }

  /** It did not come to an end: the next round tries again. */
  isLeft(of: number): void {
    this.#last.delete(of);
  }
}
