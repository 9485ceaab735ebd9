import "server-only";
import { randomUUID } from "node:crypto";
import { authorise, ROLES, type Role } from "../core/permissions.ts";
import { makeLink } from "../sign-in/person-link.ts";
import { signInSettings } from "../sign-in/settings.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction, type Sql, writeTransaction } from "../store/transaction.ts";

/** One invented person a role. They have no password: on this machine anybody may act as them. */
export async function makeDemoPeople(actor: Actor): Promise<void> {
  authorise(actor, "people.manage");
  await writeTransaction(actor, async (tx) => {
    const scope = await demoScope(tx);
    let made = 0;
    for (const role of ROLES) {
      const id = `demo-${role}`;
      const name = `Demo ${role}`;
      const added = await tx`INSERT INTO person (account_id, person_id, name, role, portfolios, crew_id, is_demo)
        VALUES (current_account(), ${id}, ${name}, ${role}, ${scope(role).portfolios}, ${scope(role).crew}, true)
        ON CONFLICT (account_id, person_id) DO NOTHING`;
      made += added.count;
      if (added.count === 0) continue;
      await tx`INSERT INTO sign_in_user (account_id, id, person_id, name, email)
        VALUES (current_account(), ${randomUUID()}, ${id}, ${name}, ${`${id}@demo.invalid`})`;
    }
    return { result: null, note: made > 0 ? { action: "person.demo", subject: "demo", detail: { made } } : null };
  });
}

/** The demo's owner has its largest book, its technician the crew with most visits. */
async function demoScope(tx: Sql): Promise<(role: Role) => { portfolios: string[] | null; crew: string | null }> {
  const [book] = await tx<{ portfolio: string }[]>`
    SELECT portfolio FROM site GROUP BY portfolio ORDER BY count(*) DESC, portfolio LIMIT 1`;
  const [crew] = await tx<{ crew_id: string }[]>`
    SELECT crew_id FROM visit WHERE crew_id IS NOT NULL GROUP BY crew_id ORDER BY count(*) DESC, crew_id LIMIT 1`;
  return (role) => ({
    portfolios: role === "owner" ? (book ? [book.portfolio] : []) : null,
    crew: role === "technician" ? (crew?.crew_id ?? null) : null,
  });
}

/** Whether anybody of the account can sign in. */
export async function anybodySignsIn(actor: Actor): Promise<boolean> {
  authorise(actor, "people.manage");
  const rows = await readTransaction(actor, (tx) => tx`SELECT 1 FROM sign_in_user LIMIT 1`);
  return rows.length > 0;
}

export async function hasDemoPeople(actor: Actor): Promise<boolean> {
  authorise(actor, "people.manage");
  const rows = await readTransaction(
    actor,
    (tx) => tx`SELECT 1 FROM person WHERE is_demo AND disabled_at IS NULL LIMIT 1`,
  );
  return rows.length > 0;
}

/** The link by which an installation gets its first administrator; null when somebody can sign in already. */
export async function setUpLink(actor: Actor): Promise<string | null> {
  authorise(actor, "people.manage");
  if (await anybodySignsIn(actor)) return null;
  return writeTransaction(actor, async (tx) => {
    const secret = await makeLink(tx, "set_up", null, actor.person);
    return {
      result: `${signInSettings().url.origin}/join#${secret}`,
      note: { action: "person.set_up_link", subject: "installation" },
    };
  });
}
