import "server-only";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { movesSoFar } from "../store/scoring-state.ts";
import { readTransaction } from "../store/transaction.ts";

/**
 * A number that is another one whenever scores or ranks of the account moved: an open list asks for it every second, and for its
 * rows only when it did. Whoever does not see the whole account is told 0, and asks for the rows now and then.
 */
export async function readMoves(actor: Actor): Promise<number> {
  authorise(actor, "sites.read");
  return readTransaction(actor, movesSoFar);
}
