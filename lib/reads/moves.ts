import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { database } from "../store/database.ts";
import { giveWay } from "../store/give-way.ts";
import { nextMove } from "../store/next-move.ts";
import { movesSoFar } from "../store/scoring-state.ts";
import { readTransaction } from "../store/transaction.ts";

/** `after`: the number that is shown; the answer waits until it is another one, or for a while. */
export const MovesQuery = z.object({ after: z.coerce.number().optional() });
export type MovesQuery = z.infer<typeof MovesQuery>;

/** A page asks again after this; a proxy in between may end what is silent for much longer. */
const LONGEST_WAIT_MS = 8_000;

/**
 * A number that is another one whenever scores or ranks that the actor sees moved: an open list asks for it, and for its rows only
 * when it did.
 */
export async function readMoves(actor: Actor, { after }: MovesQuery = {}, signal?: AbortSignal): Promise<number> {
  authorise(actor, "sites.read");
  const db = await database();
  const until = performance.now() + LONGEST_WAIT_MS;
  for (;;) {
    const left = until - performance.now();
    const ending = new AbortController();
    const next =
      after === undefined || left <= 0
        ? null
        : nextMove(db, actor.accountId, left, signal ? AbortSignal.any([signal, ending.signal]) : ending.signal);
    const moves = await readTransaction(actor, movesSoFar).catch((error: unknown) => {
      ending.abort();
      throw error;
    });
    if (next === null || moves !== after || signal?.aborted) {
      ending.abort();
      return moves;
    }
    giveWay();
    await next;
  }
}
