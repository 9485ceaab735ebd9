import "server-only";
import { randomUUID } from "node:crypto";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise, ROLES } from "../core/permissions.ts";
import { LINK_HOURS, makeLink } from "../sign-in/person-link.ts";
import { signInSettings } from "../sign-in/settings.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction, type Sql, writeTransaction } from "../store/transaction.ts";

const Scope = {
  name: z.string().trim().min(1, "give a name").max(200),
  role: z.enum(ROLES),
  portfolios: z.array(z.string().min(1).max(300)).max(1000).default([]),
  crewId: z.string().min(1).max(100).nullable().default(null),
};
export const PersonBody = z.object({
  ...Scope,
  /** Address that whoever joins has to have; null: the link alone decides. */
  email: z.email("not an e-mail address").max(254).toLowerCase().nullable().default(null),
});
export const ChangePersonBody = z.object({ ...Scope, disabled: z.boolean() });
type PersonBody = z.infer<typeof PersonBody>;
type Scoped = Omit<PersonBody, "email">;
type Invited = Scoped & { email?: string | null };

/** A link to hand to a person; it is shown once. */
export interface HandedLink {
  personId: string;
  url: string;
  hours: number;
}

const linkUrl = (secret: string) => `${signInSettings().url.origin}/join#${secret}`;

/** A technician needs a crew and an owner needs books: without them they would see nothing. */
async function checkScope(tx: Sql, { role, portfolios, crewId }: Scoped): Promise<void> {
  if (role === "owner" && portfolios.length === 0)
    throw new AppError("wrong_use", { message: "An owner sees the sites of their own books: name one or more." });
  if (role === "technician" && !crewId)
    throw new AppError("wrong_use", { message: "A technician sees the visits of their own crew: name it." });
  const books = await tx<
    { portfolio: string }[]
  >`SELECT portfolio FROM portfolio WHERE portfolio = ANY (${portfolios})`;
  const unknown = portfolios.filter((name) => !books.some((row) => row.portfolio === name));
  if (role === "owner" && unknown.length > 0)
    throw new AppError("wrong_use", { message: `There is no book of sites named "${unknown[0]}".` });
  if (role === "technician" && (await tx`SELECT 1 FROM crew WHERE crew_id = ${crewId}`).length === 0)
    throw new AppError("wrong_use", { message: `There is no crew "${crewId}".` });
}

/** What of a scope counts for a role. */
const held = ({ role, portfolios, crewId }: Scoped) => ({
  books: role === "owner" ? portfolios : null,
  crew: role === "technician" ? crewId : null,
});

/** Put a person on record and make the link by which they join. */
export async function invitePerson(actor: Actor, body: Invited): Promise<HandedLink> {
  authorise(actor, "people.manage");
  const personId = `p-${randomUUID().slice(0, 8)}`;
  const { books, crew } = held(body);
  return writeTransaction(actor, async (tx) => {
    await checkScope(tx, body);
    const email = body.email?.trim().toLowerCase() || null;
    if (email && (await tx`SELECT 1 FROM sign_in_user WHERE email = ${email}`).length > 0)
      throw new AppError("conflict", { message: `Somebody signs in with ${email} already.` });
    await tx`INSERT INTO person (account_id, person_id, name, role, portfolios, crew_id, invited_email)
      VALUES (current_account(), ${personId}, ${body.name}, ${body.role}, ${books}, ${crew}, ${email})`;
    const url = linkUrl(await makeLink(tx, "invite", personId, actor.person));
    const detail = { name: body.name, role: body.role, portfolios: books, crew, email };
    return {
      result: { personId, url, hours: LINK_HOURS.invite },
      note: { action: "person.invite", subject: personId, detail },
    };
  });
}

/** A new link for a person: to join with, or to choose another password. Signs them out where it is used. */
export async function linkPerson(actor: Actor, personId: string): Promise<HandedLink> {
  authorise(actor, "people.manage");
  return writeTransaction(actor, async (tx) => {
    const [person] = await tx<{ joined: boolean; disabled: boolean }[]>`
      SELECT u.id IS NOT NULL AS joined, disabled_at IS NOT NULL AS disabled
      FROM person p LEFT JOIN sign_in_user u USING (account_id, person_id) WHERE person_id = ${personId} AND person_id <> 'local'`;
    if (!person) throw noPerson(personId);
    if (person.disabled)
      throw new AppError("conflict", {
        message: "This person is disabled. Let them in again first, then make a link.",
      });
    const kind = person.joined ? "recover" : "invite";
    const url = linkUrl(await makeLink(tx, kind, personId, actor.person));
    return {
      result: { personId, url, hours: LINK_HOURS[kind] },
      note: { action: "person.link", subject: personId, detail: { kind } },
    };
  });
}

/** Change role, scope or name of a person, or shut them out; their sessions end when they are shut out. */
export async function changePerson(
  actor: Actor,
  personId: string,
  body: z.infer<typeof ChangePersonBody>,
): Promise<{ personId: string }> {
  authorise(actor, "people.manage");
  const { books, crew } = held(body);
  return writeTransaction(actor, async (tx) => {
    await tx`SELECT pg_advisory_xact_lock(7210, ${actor.accountId})`;
    await checkScope(tx, body);
    const [before] = await tx<
      { role: string; portfolios: string[] | null; crew_id: string | null; disabled: boolean }[]
    >`
      SELECT role, portfolios, crew_id, disabled_at IS NOT NULL AS disabled FROM person
      WHERE person_id = ${personId} AND person_id <> 'local' FOR UPDATE`;
    if (!before) throw noPerson(personId);
    await tx`UPDATE person SET name = ${body.name}, role = ${body.role}, portfolios = ${books}, crew_id = ${crew},
      disabled_at = CASE WHEN ${body.disabled} THEN coalesce(disabled_at, now()) END WHERE person_id = ${personId}`;
    await tx`UPDATE sign_in_user SET name = ${body.name} WHERE person_id = ${personId}`;
    const [left] = await tx<
      { n: number }[]
    >`SELECT count(*)::int AS n FROM person JOIN sign_in_user USING (account_id, person_id)
      WHERE role = 'administrator' AND disabled_at IS NULL AND person_id <> 'local'`;
    const wasAdministrator = before.role === "administrator" && !before.disabled;
    if (left?.n === 0 && wasAdministrator)
      throw new AppError("conflict", {
        message: "This is the last administrator who can sign in. Make another one first.",
      });
    if (body.disabled)
      await tx`DELETE FROM sign_in_session WHERE user_id IN (SELECT id FROM sign_in_user WHERE person_id = ${personId})`;
    const after = { role: body.role, portfolios: books, crew, disabled: body.disabled };
    const { role, portfolios, crew_id, disabled } = before;
    const detail = { before: { role, portfolios, crew: crew_id, disabled }, after };
    return { result: { personId }, note: { action: "person.change", subject: personId, detail } };
  });
}

const noPerson = (personId: string) => new AppError("not_found", { message: `There is no person "${personId}".` });

/** Id of the person with this id or e-mail address. @throws AppError `not_found` */
export async function personNamed(actor: Actor, who: string): Promise<string> {
  authorise(actor, "people.manage");
  const [row] = await readTransaction(
    actor,
    (tx) => tx<
      { person_id: string }[]
    >`SELECT person_id FROM person LEFT JOIN sign_in_user USING (account_id, person_id)
      WHERE person_id = ${who} OR email = ${who.trim().toLowerCase()} LIMIT 1`,
  );
  if (!row) throw noPerson(who);
  return row.person_id;
}
