import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction } from "../store/transaction.ts";
import type { SessionLine } from "./sessions-view.ts";

const Row = z.object({
  id: z.string(),
  created_at: z.date(),
  expires_at: z.date(),
  ip_address: z.string().nullable(),
  user_agent: z.string().nullable(),
});

/** Where the asker is signed in, newest first. */
export async function readOwnSessions(actor: Actor, currentId: string): Promise<SessionLine[]> {
  authorise(actor, "self.manage");
  const rows = await readTransaction(
    actor,
    (tx) => tx`SELECT s.id, s.created_at, s.expires_at, s.ip_address, s.user_agent FROM sign_in_session s
      JOIN sign_in_user u ON u.account_id = s.account_id AND u.id = s.user_id
      WHERE u.person_id = ${actor.person} AND s.expires_at > now() ORDER BY s.created_at DESC`,
  );
  return z
    .array(Row)
    .parse([...rows])
    .map((row) => ({
      id: row.id,
      since: row.created_at.toISOString(),
      until: row.expires_at.toISOString(),
      from: row.ip_address ?? "",
      browser: row.user_agent ?? "",
      isThis: row.id === currentId,
    }));
}
