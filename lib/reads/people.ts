import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { noteSeen } from "../store/seen.ts";
import { readTransaction } from "../store/transaction.ts";
import type { PeopleView } from "./people-view.ts";

const PersonRow = z.object({
  person_id: z.string(),
  name: z.string(),
  role: z.string(),
  portfolios: z.array(z.string()).nullable(),
  crew_id: z.string().nullable(),
  is_demo: z.boolean(),
  disabled_at: z.date().nullable(),
  email: z.string().nullable(),
  sessions: z.number(),
  last_in: z.date().nullable(),
  link_until: z.date().nullable(),
  invited_email: z.string().nullable(),
});

/** Everybody of the account, and what a person can be held to. */
export async function readPeople(actor: Actor): Promise<PeopleView> {
  authorise(actor, "people.manage");
  await noteSeen(actor, "people.view", "people");
  return readTransaction(actor, async (tx) => {
    const rows = await tx`
      SELECT p.person_id, p.name, p.role, p.portfolios, p.crew_id, p.is_demo, p.disabled_at, p.invited_email, u.email,
        (SELECT count(*)::int FROM sign_in_session s WHERE s.account_id = p.account_id AND s.user_id = u.id AND s.expires_at > now()) AS sessions,
        (SELECT max(s.created_at) FROM sign_in_session s WHERE s.account_id = p.account_id AND s.user_id = u.id) AS last_in,
        (SELECT max(l.expires_at) FROM person_link l WHERE l.account_id = p.account_id AND l.person_id = p.person_id
          AND l.used_at IS NULL AND l.expires_at > now()) AS link_until
      FROM person p LEFT JOIN sign_in_user u USING (account_id, person_id)
      WHERE p.account_id = current_account() AND p.person_id <> 'local' ORDER BY p.name, p.person_id`;
    const books = await tx<{ portfolio: string }[]>`SELECT portfolio FROM portfolio ORDER BY 1`;
    const crews = await tx<{ crew_id: string; name: string }[]>`SELECT crew_id, name FROM crew ORDER BY 1`;
    return {
      people: z
        .array(PersonRow)
        .parse([...rows])
        .map((p) => ({
          personId: p.person_id,
          name: p.name,
          role: p.role,
          portfolios: p.portfolios ?? [],
          crewId: p.crew_id,
          isDemo: p.is_demo,
          isSelf: p.person_id === actor.person,
          disabledAt: p.disabled_at?.toISOString() ?? null,
          email: p.email,
          invitedEmail: p.invited_email,
          sessions: p.sessions,
          lastSignIn: p.last_in?.toISOString() ?? null,
          linkUntil: p.link_until?.toISOString() ?? null,
        })),
      portfolios: books.map((b) => b.portfolio),
      crews: crews.map((c) => ({ crewId: c.crew_id, name: c.name })),
    };
  });
}
