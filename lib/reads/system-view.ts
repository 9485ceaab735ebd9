/** The state of this installation, as its page shows it. Times are ISO 8601, UTC. */
export interface SystemView {
  now: string;
  /** What needs a person, worst first; empty: nothing that is watched. */
  attention: string[];
  worker: { seenAt: string | null; running: boolean };
  queues: { queue: string; waiting: number; active: number }[];
  imports: {
    open: number;
    heldUp: string | null;
    lastFinished: string | null;
    setAsideLast: number;
    setAside30Days: number;
  };
  scores: { sites: number; stale: number; lastComputed: string | null };
  feeds: { what: string; newest: string | null }[];
  database: { version: string; bytes: number };
  disk: { folder: string; freeBytes: number; totalBytes: number };
}
