export interface AdmissionClock {
  now: () => number;
  /** @returns a function that cancels */
  after: (ms: number, run: () => void) => () => void;
}

export interface AdmissionOptions {
  atOnce: number;
  longestWaitMs: number;
  mostHeldMs: number;
  clock?: AdmissionClock;
  random?: () => number;
}

export class Admission {
  constructor(options: AdmissionOptions);
  readonly waiting: number;
  readonly running: number;
  readonly expectedWaitMs: number;
  enter(request: { start: (waitedMs: number) => void; refuse: (retryAfterS: number) => void }): () => void;
  retryAfterS(): number;
}
