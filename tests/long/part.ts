/** What a part has got done; kept in the state file between slices. */
export interface PartState {
  done: number;
  failed: number;
  /** Figures that add up or grow over the slices, by name. */
  figures: Record<string, number>;
  /** What failed, the first few in words. */
  failures: string[];
}

/** One kind of long test. It is run in slices, each short enough that stopping between two loses little. */
export interface LongPart {
  name: string;
  /** How much there is to do, and of what. */
  total: number;
  unit: string;
  /** Do the next slice, from `state.done` on, and add to the state. */
  slice: (state: PartState, context: LongContext) => Promise<void>;
  /** One line about what was found. */
  says: (state: PartState) => string;
  /** Let go of what slices share. */
  close?: () => Promise<void>;
}

export interface LongContext {
  seed: string;
  /** Where what failed is kept. */
  failures: string;
  /** Says that one failed; the part runs on. */
  fail: (says: string) => void;
  /** Somebody asked for the end. A slice that takes long may end without having done anything. */
  stop: AbortSignal;
}
