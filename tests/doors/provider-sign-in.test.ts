import { beforeAll, describe, expect, test } from "vitest";
import { sessionCookie, signInSettings } from "../../lib/sign-in/settings.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { makeDemoPeople } from "../../lib/writes/demo-people.ts";
import { changePerson, linkPerson } from "../../lib/writes/people.ts";
import { handleSignIn } from "../../lib/writes/sign-in.ts";
import {
  CLIENT_ID,
  CLIENT_SECRET,
  type IdentityProviderStub,
  startIdentityProvider,
} from "../support/identity-provider.ts";
import { back, begin, CALLBACK, SECRET, useIdentityProvider, who } from "../support/provider-door.ts";
import { fromBrowser, type MadePerson, ORIGIN, PASSWORD, peer, signedInAs } from "../support/signed-in.ts";
import { useTestDatabase } from "../support/test-database.ts";

// What an ID token has to be: OpenID Connect Core 1.0, section 3.1.3.7. The provider is an implementation of others.
const database = useTestDatabase();
const theProvider = useIdentityProvider();
let provider: IdentityProviderStub;
beforeAll(() => {
  provider = theProvider();
});

async function through(to?: string) {
  const begun = await begin(to === undefined ? {} : { to });
  return back(await provider.visit(begun.url), begun.cookie);
}

const at = (person: MadePerson, sub: string, verified = true) => {
  provider.account = { sub, email: person.email.toUpperCase(), email_verified: verified };
};
const ties = async (person: MadePerson) =>
  (
    await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx`SELECT 1 FROM audit_entry WHERE action = 'person.tie_identity' AND subject = ${person.actor.person}`,
    )
  ).length;
const refused = (problem: string) => ({ to: `/sign-in?problem=${problem}`, session: null });

describe("signing in by an identity provider", () => {
  test("opens a session with the role of the invitation, whatever the provider claims, and goes where it was asked for", async () => {
    const anna = await signedInAs("technician", { crewId: "C1" });
    at(anna, "s-anna");
    provider.slip = { claims: { role: "administrator", groups: ["administrator"], name: "The Boss" } };
    const { to, session } = await through("/visits?day=2026-11-28");
    expect(to).toBe("/visits?day=2026-11-28");
    expect(await who(session as string)).toMatchObject({
      name: "Test technician",
      actor: { person: anna.actor.person, role: "technician", crewId: "C1" },
    });
    expect(session?.startsWith(sessionCookie(new URL(ORIGIN)))).toBe(true);
    expect(await ties(anna)).toBe(1);
    // From then on the subject decides, not the address.
    provider.account = { sub: "s-anna", email: "moved@example.test", email_verified: false };
    const again = await through();
    expect(again.to).toBe("/");
    expect(await who(again.session as string)).toMatchObject({ actor: { person: anna.actor.person } });
    expect(await ties(anna)).toBe(1);
  });

  test("keeps nothing of the provider but who it is", async () => {
    const olaf = await signedInAs("manager");
    at(olaf, "s-olaf");
    await through();
    const { rows } = await database().signIn.query("SELECT * FROM sign_in_proof WHERE subject LIKE '%s-olaf'");
    expect(rows[0]).toMatchObject({
      subject: `${provider.issuer} s-olaf`,
      access_token: null,
      refresh_token: null,
      id_token: null,
    });
    const { rows: kept } = await database().signIn.query(
      "SELECT 1 FROM sign_in_challenge WHERE identifier LIKE 'provider/%'",
    );
    expect(kept).toEqual([]);
  });

  test("asks for the person where the token does not name an address, and takes no other subject's", async () => {
    const terse = await startIdentityProvider(CALLBACK, { emailInToken: false });
    const { ProviderClient } = await import("../../lib/sign-in/provider-client.ts");
    const client = new ProviderClient(
      { name: "x", issuer: terse.issuer, clientId: CLIENT_ID, clientSecret: CLIENT_SECRET },
      CALLBACK,
    );
    terse.account = { sub: "t1", email: "Terse@example.test", email_verified: true };
    const once = async () => {
      const { url, challenge } = await client.begin();
      return client.finish(new URL(await terse.visit(url)).searchParams, challenge);
    };
    expect(await once()).toEqual({ subject: `${terse.issuer} t1`, email: "terse@example.test", emailVerified: true });
    terse.slip = { userinfoSub: "somebody-else" };
    await expect(once()).rejects.toThrow(/sub/);
    await terse.close();
  });

  test("lets in nobody whom an administrator did not invite", async () => {
    provider.account = { sub: "s-stranger", email: "stranger@example.test", email_verified: true };
    expect(await through()).toEqual(refused("nobody"));
    await makeDemoPeople(LOCAL_ACTOR);
    const { rows } = await database().signIn.query(
      "SELECT u.email FROM sign_in_user u JOIN person p USING (account_id, person_id) WHERE p.is_demo LIMIT 1",
    );
    provider.account = { sub: "s-demo", email: rows[0].email, email_verified: true };
    expect(await through()).toEqual(refused("nobody"));
  });

  test("an unverified address that equals somebody's opens nothing and ties nothing", async () => {
    const ben = await signedInAs("administrator");
    at(ben, "s-thief", false);
    expect(await through()).toEqual(refused("unverified"));
    provider.slip = { claims: { email_verified: undefined } };
    expect(await through()).toEqual(refused("unverified"));
    expect(await ties(ben)).toBe(0);
  });

  test("a second identity with the address of somebody who is tied already is refused until an administrator says so", async () => {
    const cleo = await signedInAs("manager");
    at(cleo, "s-cleo-1");
    expect((await through()).session).not.toBeNull();
    at(cleo, "s-cleo-2");
    expect(await through()).toEqual(refused("other_identity"));
    const { url } = await linkPerson((await signedInAs("administrator")).actor, cleo.actor.person);
    const token = url.split("#")[1];
    await handleSignIn(fromBrowser("/api/auth/join", { token, password: PASSWORD }, peer()));
    expect((await through()).session).not.toBeNull();
    at(cleo, "s-cleo-1");
    expect(await through()).toEqual(refused("other_identity"));
  });

  test("who was disabled stays out", async () => {
    const dora = await signedInAs("manager");
    at(dora, "s-dora");
    await through();
    const admin = (await signedInAs("administrator")).actor;
    await changePerson(admin, dora.actor.person, {
      name: "Dora",
      role: "manager",
      portfolios: [],
      crewId: null,
      disabled: true,
    });
    expect(await through()).toEqual(refused("disabled"));
  });
});

describe("what does not prove who somebody is", () => {
  let emil: MadePerson;
  beforeAll(async () => {
    emil = await signedInAs("administrator");
  });
  const now = () => Math.floor(Date.now() / 1000);

  test.each([
    ["another client's audience", { claims: { aud: "another-client" } }],
    ["several audiences of which we are not the authorised one", { claims: { aud: [CLIENT_ID, "x"], azp: "x" } }],
    ["another issuer", { claims: { iss: "http://127.0.0.1:1" } }],
    ["a time that has run out", { claims: { iat: now() - 7200, exp: now() - 3600 } }],
    ["another nonce", { claims: { nonce: "of-another-sign-in" } }],
    ["no nonce", { claims: { nonce: undefined } }],
    ["a signature by a key that the provider does not publish", { foreignKey: true }],
    ["no ID token at all", { without: true }],
  ])("a token with %s", async (_what, slip) => {
    at(emil, "s-emil");
    provider.slip = slip;
    expect(await through()).toEqual(refused("not_proven"));
    expect(await ties(emil)).toBe(0);
  });

  test("an answer that this browser did not ask for, or a second time, or with another state", async () => {
    at(emil, "s-emil");
    const mine = await begin();
    const other = await begin();
    const answer = await provider.visit(other.url);
    // Somebody is sent with another person's answer: with a cookie of their own, with none, with a forged one.
    expect(await back(answer, mine.cookie)).toEqual(refused("expired"));
    expect(await back(answer, "")).toEqual(refused("expired"));
    expect(await back(answer, `${other.cookie.split("=")[0]}=x.y`)).toEqual(refused("expired"));
    const bent = new URL(answer);
    bent.searchParams.set("state", "another");
    expect(await back(bent.href, other.cookie)).toEqual(refused("expired"));
    // That used it up: nobody tries states out.
    expect(await back(answer, other.cookie)).toEqual(refused("expired"));
    const third = await begin();
    const good = await provider.visit(third.url);
    expect((await back(good, third.cookie)).session).not.toBeNull();
    expect(await back(good, third.cookie)).toEqual(refused("expired"));
  });

  test("a code of another sign-in, and one that took too long", async () => {
    at(emil, "s-emil");
    const mine = await begin();
    const other = await begin();
    const answer = new URL(await provider.visit(mine.url));
    answer.searchParams.set("code", new URL(await provider.visit(other.url)).searchParams.get("code") as string);
    expect(await back(answer.href, mine.cookie)).toEqual(refused("not_proven")); // PKCE and the nonce bind the code
    const late = await begin();
    const comes = await provider.visit(late.url);
    await database().signIn.query("UPDATE sign_in_challenge SET expires_at = now() - interval '1 second'");
    expect(await back(comes, late.cookie)).toEqual(refused("expired"));
  });

  test("a person who turns back", async () => {
    provider.agrees = false;
    expect(await through()).toEqual(refused("refused"));
  });

  test("nothing leads out of this installation", async () => {
    at(emil, "s-emil");
    for (const to of [
      "https://elsewhere.example/x",
      "//elsewhere.example",
      "/\\elsewhere.example",
      "javascript:alert(1)",
    ])
      expect((await through(to)).to, to).toBe("/");
  });
});

describe("a provider that is down", () => {
  test("is said with what else there is, passwords go on, and once it is back so does it", async () => {
    const fay = await signedInAs("manager");
    at(fay, "s-fay");
    const begun = await begin();
    const answer = await provider.visit(begun.url);
    await provider.down();
    expect(await back(answer, begun.cookie)).toEqual(refused("unreachable"));
    const { ProviderClient, ProviderUnreachable } = await import("../../lib/sign-in/provider-client.ts");
    const settings = signInSettings().provider as NonNullable<ReturnType<typeof signInSettings>["provider"]>;
    const fresh = new ProviderClient(settings, CALLBACK);
    await expect(fresh.begin()).rejects.toThrow(ProviderUnreachable);
    const reply = await handleSignIn(
      fromBrowser("/api/auth/sign-in/email", { email: fay.email, password: PASSWORD }, peer()),
    );
    expect(reply.status).toBe(200);
    await provider.up();
    expect((await fresh.begin()).url).toContain(provider.issuer);
    expect((await through()).session).not.toBeNull();
  });
});

describe("the issuer's address", () => {
  const settings = (issuer: string) =>
    signInSettings({
      RAINTRIP_SECRET: SECRET,
      RAINTRIP_OIDC_ISSUER: issuer,
      RAINTRIP_OIDC_CLIENT_ID: "c",
      RAINTRIP_OIDC_CLIENT_SECRET: "s",
    } as never);

  test("is https, or of this very machine, and holds nothing else", () => {
    expect(settings("https://login.example/realm").provider?.issuer).toBe("https://login.example/realm");
    expect(settings("http://localhost:8080").provider).not.toBeNull();
    for (const bad of [
      "http://login.example",
      "http://10.0.0.1",
      "file:///etc/passwd",
      "login.example",
      "https://u:p@login.example",
      "https://login.example?x=1",
      "https://login.example/#x",
    ])
      expect(() => settings(bad), bad).toThrow(/RAINTRIP_OIDC_ISSUER/);
  });
});
