/** One route as a choice: what it is worth, which crew-day drives it, which stops it serves. */
export interface Column {
  value: number;
  day: number;
  stops: readonly number[];
}

/** Choose columns of the highest value: each crew-day once at most, each stop once at most, a `must` stop exactly once. */
export interface SetPacking {
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

export interface ChoiceLimits {
  /** Nodes of the search tree. */
  nodes: number;
  /** Columns to choose among, as indices in the order they were added. */
  among: readonly number[];
  /** Stops that must be served by the choice; absent: those of the whole problem. */
  must?: readonly number[];
  /** Share of the best possible within which a choice is good enough. */
  gap: number;
  /** A feasible choice known, of columns in `among`. */
  start: readonly number[];
  /** Asked now and then; true ends the search with the best so far. */
  stopped?: () => boolean;
}

/** One choice that grows: columns are added, and each relaxation starts from the last. */
export interface PackingModel {
  add(columns: readonly Column[]): void;
  /** The relaxed optimum with its prices, or null when the solver did not prove one. */
  relax(): Promise<PackingDuals | null>;
  /** Indices of the columns of a feasible choice, or null when none was found within the nodes. */
  choose(limits: ChoiceLimits): Promise<number[] | null>;
  close(): void;
}

/** A solver of linear and whole-number programs, kept behind this face so that planning stays pure. */
export interface SetPackingSolver {
  open(problem: SetPacking): PackingModel;
}
