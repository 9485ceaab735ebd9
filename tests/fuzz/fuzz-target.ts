import type { Rng } from "../../lib/core/random.ts";

/** A way to be hostile to one reader. A case is made from its seed alone; a run that does not throw has passed. */
export interface FuzzTarget {
  name: string;
  /** Share of the cases of a whole run. */
  share: number;
  run: (rng: Rng) => Promise<void>;
}

/** A reader did what it must not; carries the files that made it. */
export class FuzzFailure extends Error {
  readonly files: Record<string, Buffer>;
  constructor(says: string, files: Record<string, Buffer | string>) {
    super(says);
    this.files = Object.fromEntries(Object.entries(files).map(([name, bytes]) => [name, Buffer.from(bytes)]));
  }
}
