import type { Instant } from "../core/records.ts";

/**
 * Why nothing came of asking. `cap`, `paused` and `cancelled` end a run; the rest concern one station or point:
 * `refused` the answer says no or leads away, `unreachable` tries are used up, `bad_answer` what came is no answer.
 */
export type FeedErrorKind = "cap" | "paused" | "cancelled" | "refused" | "unreachable" | "bad_answer";

export class FeedError extends Error {
  readonly kind: FeedErrorKind;
  /** When `paused`: the service asks for quiet until then. */
  readonly until: Instant | null;
  constructor(kind: FeedErrorKind, message: string, until: Instant | null = null) {
    super(message);
    this.name = "FeedError";
    this.kind = kind;
    this.until = until;
  }
}
