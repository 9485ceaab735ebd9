import type { Database } from "./database.ts";
import { MOVED } from "./scoring-state.ts";
import { hearing } from "./server-word.ts";

/** Without a word from the server it is looked for this often. */
const LOOK_MS = 1000;
/** Nobody waits longer without a look: a word may be lost with its connection. */
const LONGEST_MS = 5000;
/** Who wait at once in a process; more look again by themselves. */
const MOST_WAITING = 1000;

/** Waits of this process for the next time that scores of an account move: one connection listens for all of them. */
class NextMove {
  readonly #waiting = new Set<{ accountId: number; go: () => void }>();
  #hears = false;

  constructor(db: Database) {
    void hearing(db, MOVED, (told) => {
      for (const one of this.#waiting) if (told === null || told === String(one.accountId)) one.go();
    }).then(({ hears }) => {
      this.#hears = hears;
    });
  }

  /** @returns null where too many wait already */
  wait(accountId: number, mostMs: number, signal?: AbortSignal): Promise<void> | null {
    if (this.#waiting.size >= MOST_WAITING) return null;
    return new Promise((resolve) => {
      const one = { accountId, go: () => end() };
      const timer = setTimeout(() => end(), Math.min(mostMs, this.#hears ? LONGEST_MS : LOOK_MS));
      const end = () => {
        clearTimeout(timer);
        signal?.removeEventListener("abort", one.go);
        this.#waiting.delete(one);
        resolve();
      };
      this.#waiting.add(one);
      signal?.addEventListener("abort", one.go);
      if (signal?.aborted) end();
    });
  }
}

const holder = globalThis as { raintripNextMove?: { db: Database; next: NextMove } };

/**
 * Wait until scores of an account move, or for a while. Begin before looking, so that nothing moves in between unseen.
 * @returns null where too many wait already
 */
export function nextMove(db: Database, accountId: number, mostMs: number, signal?: AbortSignal): Promise<void> | null {
  if (holder.raintripNextMove?.db !== db) holder.raintripNextMove = { db, next: new NextMove(db) };
  return holder.raintripNextMove.next.wait(accountId, mostMs, signal);
}
