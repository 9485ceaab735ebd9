import "server-only";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { writeTransaction } from "../store/transaction.ts";

/** End one of the asker's own sessions. @throws AppError `not_found` when it is not theirs or is over */
export async function endSession(actor: Actor, sessionId: string): Promise<{ ended: number }> {
  authorise(actor, "self.manage");
  return writeTransaction(actor, async (tx) => {
    const gone = await tx`DELETE FROM sign_in_session s USING sign_in_user u
      WHERE u.account_id = s.account_id AND u.id = s.user_id AND u.person_id = ${actor.person} AND s.id = ${sessionId}`;
    if (gone.count === 0)
      throw new AppError("not_found", { message: "This session is over already, or is not yours." });
    return { result: { ended: 1 }, note: { action: "session.end", subject: sessionId } };
  });
}

/** End every other session of the asker. */
export async function endOtherSessions(actor: Actor, currentId: string): Promise<{ ended: number }> {
  authorise(actor, "self.manage");
  return writeTransaction(actor, async (tx) => {
    const gone = await tx`DELETE FROM sign_in_session s USING sign_in_user u
      WHERE u.account_id = s.account_id AND u.id = s.user_id AND u.person_id = ${actor.person} AND s.id <> ${currentId}`;
    const note = { action: "session.end_others", subject: actor.person, detail: { ended: gone.count } };
    return { result: { ended: gone.count }, note: gone.count > 0 ? note : null };
  });
}
