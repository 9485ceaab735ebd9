import { beforeAll, describe, expect, test } from "vitest";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { setUpLink } from "../../lib/writes/demo-people.ts";
import { changePerson, invitePerson, linkPerson } from "../../lib/writes/people.ts";
import { handleSignIn } from "../../lib/writes/sign-in.ts";
import { back, begin, useIdentityProvider, who } from "../support/provider-door.ts";
import { fromBrowser, type MadePerson, PASSWORD, peer, signedInAs } from "../support/signed-in.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();
const provider = useIdentityProvider();
let admin: MadePerson;
let setUp: string;
beforeAll(async () => {
  setUp = secretOf((await setUpLink(LOCAL_ACTOR)) as string);
  admin = await signedInAs("administrator");
});

const secretOf = (url: string) => url.split("#")[1] as string;
const invite = async (email: string | null = null) => {
  const made = await invitePerson(admin.actor, {
    ...{ name: "Invited", role: "dispatcher", portfolios: [], crewId: null, email },
  });
  return { personId: made.personId, token: secretOf(made.url) };
};
const is = (sub: string, email: string, email_verified = true) => {
  provider().account = { sub, email, email_verified };
};
/** With the link to the provider and back. */
async function through(token: string) {
  const begun = await begin({ token }, "/api/auth/join/provider");
  return back(await provider().visit(begun.url), begun.cookie);
}
const post = (path: string, body: object) => handleSignIn(fromBrowser(`/api/auth${path}`, body, peer()));
const works = async (token: string) => (await post("/join/look", { token })).status === 200;
const refused = (problem: string) => ({ to: `/join?problem=${problem}`, session: null });
const audited = (personId: string) =>
  readTransaction(
    LOCAL_ACTOR,
    async (tx) =>
      await tx<{ person: string; action: string; detail: object }[]>`SELECT person, action, detail FROM audit_entry
        WHERE subject = ${personId} AND action LIKE 'person.join%' ORDER BY seq`,
  );

describe("joining by an identity provider", () => {
  test("uses the invitation up, opens a session with its role, and is on record; the identity signs in from then on", async () => {
    const { personId, token } = await invite("Rosa@Example.test");
    is("s-rosa", "rosa@example.TEST");
    const { to, session } = await through(token);
    expect(to).toBe("/");
    expect(await who(session as string)).toMatchObject({
      ...{ name: "Invited", email: "rosa@example.test", actor: { person: personId, role: "dispatcher" } },
    });
    const identity = `${provider().issuer} s-rosa`;
    expect(await audited(personId)).toEqual([
      { person: personId, action: "person.join", detail: { link: "invite", by: "identity", identity } },
    ]);
    expect(await works(token)).toBe(false);
    const { rows } = await database().signIn.query(
      "SELECT f.provider_id, f.password FROM sign_in_proof f JOIN sign_in_user u ON u.id = f.user_id WHERE u.person_id = $1",
      [personId],
    );
    expect(rows).toEqual([{ provider_id: "oidc", password: null }]);
    // There is no password, and none is taken.
    expect((await post("/sign-in/email", { email: "rosa@example.test", password: PASSWORD })).status).toBe(401);
    const again = await begin();
    const signedIn = await back(await provider().visit(again.url), again.cookie);
    expect(await who(signedIn.session as string)).toMatchObject({ actor: { person: personId } });
  });

  test("an invitation without an address takes the one that the provider has verified", async () => {
    const { personId, token } = await invite();
    is("s-sam", "Sam@example.test");
    expect(await who((await through(token)).session as string)).toMatchObject({
      ...{ email: "sam@example.test", actor: { person: personId } },
    });
  });

  test("a link for somebody who has joined makes the identity their only proof, and ends what was open", async () => {
    const tess = await signedInAs("manager");
    const token = secretOf((await linkPerson(admin.actor, tess.actor.person)).url);
    is("s-tess", tess.email);
    expect(await who((await through(token)).session as string)).toMatchObject({ actor: { person: tess.actor.person } });
    expect(await who(tess.cookie)).toBeNull();
    expect((await post("/sign-in/email", { email: tess.email, password: PASSWORD })).status).toBe(401);
  });
});

describe("is refused, on record, with the link as it was,", () => {
  const why = async (personId: string) =>
    (await audited(personId)).map(({ action, detail }) => ({ action, ...detail }));

  test.each([
    ["when the address is another than the invited one", "other_address", "somebody@example.test", true],
    ["when the provider has not verified the address", "unverified", "una@example.test", false],
  ])("%s", async (_, problem, email, verified) => {
    const { personId, token } = await invite("una@example.test");
    is(`s-${problem}`, email, verified);
    expect(await through(token)).toEqual(refused(problem));
    const identity = `${provider().issuer} s-${problem}`;
    expect(await why(personId)).toEqual([{ action: "person.join_refused", why: problem, identity }]);
    expect(await works(token)).toBe(true);
    expect((await database().signIn.query("SELECT 1 FROM sign_in_user WHERE email = $1", [email])).rows).toEqual([]);
  });

  test("when somebody else signs in with the address, or by the identity", async () => {
    const vera = await signedInAs("manager");
    const { personId, token } = await invite();
    is("s-vera-2", vera.email);
    expect(await through(token)).toEqual(refused("address_taken"));
    is("s-wim", "wim@example.test");
    expect((await through((await invite()).token)).session).not.toBeNull();
    is("s-wim", "another@example.test");
    expect(await through(token)).toEqual(refused("identity_taken"));
    expect((await why(personId)).map((entry) => "why" in entry && entry.why)).toEqual([
      "address_taken",
      "identity_taken",
    ]);
    expect(await works(token)).toBe(true);
  });

  test("when the person has another address, or was shut out since", async () => {
    const xena = await signedInAs("manager");
    const token = secretOf((await linkPerson(admin.actor, xena.actor.person)).url);
    is("s-xena", "not-xena@example.test");
    expect(await through(token)).toEqual(refused("other_address"));
    const { role, portfolios, crewId } = { role: "manager" as const, portfolios: [], crewId: null };
    await changePerson(admin.actor, xena.actor.person, { name: "Xena", role, portfolios, crewId, disabled: true });
    is("s-xena", xena.email);
    expect(await through(token)).toEqual(refused("disabled"));
  });

  test("by password too, when the address is another than the invited one", async () => {
    const { token } = await invite("yves@example.test");
    expect(await (await post("/join/look", { token })).json()).toMatchObject({ email: "yves@example.test" });
    const other = await post("/join", { token, email: "other@example.test", password: PASSWORD });
    expect([other.status, await other.text()]).toEqual([400, expect.stringContaining("another e-mail address")]);
    expect((await post("/join", { token, email: "yves@example.test", password: PASSWORD })).status).toBe(200);
  });
});

describe("a link that works no more", () => {
  test("leads nobody to the provider", async () => {
    const { token } = await invite();
    is("s-zoe", "zoe@example.test");
    await through(token);
    const reply = await post("/join/provider", { token });
    expect([reply.status, await reply.text()]).toEqual([404, expect.stringContaining("was used, has expired")]);
    const late = await invite();
    await database().signIn.query("UPDATE person_link SET expires_at = now() WHERE person_id = $1", [late.personId]);
    expect((await post("/join/provider", { token: late.token })).status).toBe(404);
  });

  test("lets in nobody who was at the provider meanwhile: it works once, also in two browsers", async () => {
    const late = await invite();
    is("s-late", "late@example.test");
    const begun = await begin({ token: late.token }, "/api/auth/join/provider");
    const answer = await provider().visit(begun.url);
    await database().signIn.query("UPDATE person_link SET expires_at = now() WHERE person_id = $1", [late.personId]);
    expect(await back(answer, begun.cookie)).toEqual(refused("link_gone"));
    expect(await audited(late.personId)).toMatchObject([{ action: "person.join_refused" }]);

    const twice = await invite();
    const [one, two] = [
      await begin({ token: twice.token }, "/api/auth/join/provider"),
      await begin({ token: twice.token }, "/api/auth/join/provider"),
    ];
    is("s-one", "one@example.test");
    const first = await provider().visit(one.url);
    is("s-two", "two@example.test");
    const second = await provider().visit(two.url);
    const came = await Promise.all([back(first, one.cookie), back(second, two.cookie)]);
    expect(came.map(({ to }) => to).toSorted()).toEqual(["/", "/join?problem=link_gone"]);
  });

  test("and the one that sets an installation up, lead to no identity", async () => {
    const reply = await post("/join/provider", { token: setUp });
    expect([reply.status, await reply.text()]).toEqual([400, expect.stringContaining("chooses a password")]);
  });
});

test("no secret of a link lies in what is kept while its person is away", async () => {
  const { token } = await invite();
  await begin({ token }, "/api/auth/join/provider");
  const { rows } = await database().signIn.query("SELECT value FROM sign_in_challenge");
  expect(JSON.stringify(rows)).not.toContain(token);
});
