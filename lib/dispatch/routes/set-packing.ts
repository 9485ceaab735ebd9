/** One route as a choice: what it is worth, which crew-day drives it, which stops it serves. */
export interface Column {
  value: number;
  day: number;
  stops: readonly number[];
}

/** Choose columns of the highest value: each crew-day once at most, each stop once at most, a `must` stop exactly once. */
export interface SetPacking {
  columns: readonly Column[];
  dayCount: number;
  stopCount: number;
  must: ReadonlySet<number>;
}

export interface PackingDuals {
  value: number;
  /** Price of each stop. */
  stops: readonly number[];
  /** Price of each crew-day. */
  days: readonly number[];
}

/** A solver of linear and whole-number programs, kept behind this face so that planning stays pure. */
export interface SetPackingSolver {
  /** The relaxed optimum with its prices, or null when the solver did not prove one. */
  relax(problem: SetPacking): Promise<PackingDuals | null>;
  /** Indices of the columns of a feasible choice, or null when none was found within the nodes. */
  choose(problem: SetPacking, maxNodes: number): Promise<number[] | null>;
}
