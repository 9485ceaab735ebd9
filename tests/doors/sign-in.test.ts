import { beforeAll, describe, expect, test, vi } from "vitest";
import { readPeople } from "../../lib/reads/people.ts";
import { readOwnSessions } from "../../lib/reads/sessions.ts";
import { makeAuth } from "../../lib/sign-in/auth.ts";
import { MOST_FAILURES } from "../../lib/sign-in/lockout.ts";
import { sessionCookie, signInSettings } from "../../lib/sign-in/settings.ts";
import { tokenOfCookie, whoHasSession, whoHasToken } from "../../lib/sign-in/who-asks.ts";
import { type Actor, LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction, writeTransaction } from "../../lib/store/transaction.ts";
import { makeToken, revokeToken } from "../../lib/writes/api-tokens.ts";
import { makeDemoPeople, setUpLink } from "../../lib/writes/demo-people.ts";
import { setOwnUnits } from "../../lib/writes/own-units.ts";
import { changePerson, invitePerson, linkPerson } from "../../lib/writes/people.ts";
import { endSession } from "../../lib/writes/sessions.ts";
import { handleSignIn } from "../../lib/writes/sign-in.ts";
import { cookieOf, fromBrowser, type MadePerson, ORIGIN, PASSWORD, peer, signedInAs } from "../support/signed-in.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();
const SECRET = "a secret of the tests that is long enough for anybody";
process.env.RAINTRIP_SECRET = SECRET;

const who = (cookie: string) => whoHasSession(decodeURIComponent(cookie.split("=").slice(1).join("=")), SECRET);
const signIn = (email: string, password: string, headers = peer()) =>
  handleSignIn(fromBrowser("/api/auth/sign-in/email", { email, password }, headers));

const audited = (action: string) =>
  readTransaction(
    LOCAL_ACTOR,
    (tx) => tx<{ person: string; subject: string }[]>`
    SELECT person, subject FROM audit_entry WHERE action = ${action} ORDER BY seq`,
  );
const setUp = async () => (await setUpLink(LOCAL_ACTOR))?.split("#")[1];
const join = (body: object) => handleSignIn(fromBrowser("/api/auth/join", body, peer()));

describe("an empty installation", () => {
  test("is set up by a link that works once, and makes its user the administrator", async () => {
    const lost = await setUp();
    const token = await setUp();
    expect(token).toMatch(/^join-/);
    const who_ = { name: "First", email: "First@Example.test", password: PASSWORD };
    expect((await join({ token: lost, ...who_ })).status).toBe(404); // the newer link replaced it
    const facts = await handleSignIn(fromBrowser("/api/auth/join/look", { token }, peer()));
    expect(await facts.json()).toMatchObject({ kind: "set_up", role: "administrator", name: null });
    expect((await join({ token, ...who_, password: "short" })).status).toBe(400);
    const joined = await join({ token, ...who_ });
    expect(joined.status).toBe(200);
    const first = await who(cookieOf(joined) as string);
    expect(first).toMatchObject({ name: "First", email: "first@example.test", actor: { role: "administrator" } });
    expect((await join({ token, ...who_, email: "second@example.test" })).status).toBe(404);
    expect(await setUp()).toBeUndefined();
  });
});

describe("signing in", () => {
  let anna: MadePerson;
  beforeAll(async () => {
    anna = await signedInAs("manager");
  });

  test("a link lets a person in, and the session says who it is", async () => {
    expect(anna.cookie.split("=")[0]).toBe(sessionCookie(new URL(ORIGIN)));
    expect(await who(anna.cookie)).toMatchObject({
      actor: { accountId: 1, role: "manager", person: anna.actor.person },
    });
  });

  test("the password opens a session and leaves an entry, a wrong one neither", async () => {
    const before = (await audited("session.start")).length;
    const right = await signIn(anna.email.toUpperCase(), PASSWORD);
    expect(right.status).toBe(200);
    const cookie = cookieOf(right) as string;
    expect(await right.text()).not.toContain(decodeURIComponent(cookie).split("=")[1]?.split(".")[0]);
    expect(await who(cookie)).toMatchObject({ actor: { person: anna.actor.person } });
    const wrong = await signIn(anna.email, "wrong wrong wrong");
    expect(wrong.status).toBe(401);
    expect(cookieOf(wrong)).toBeNull();
    expect(await audited("session.start")).toHaveLength(before + 1);
  });

  test("the cookie is out of reach of scripts and other sites, and goes over https only where that is used", async () => {
    const set = (await signIn(anna.email, PASSWORD)).headers.getSetCookie().find((c) => c.includes("session_token"));
    expect(set).toMatch(/; HttpOnly/);
    expect(set).toMatch(/; SameSite=Lax/);
    expect(set).not.toMatch(/; Secure/);
    expect(sessionCookie(new URL("https://raintrip.example"))).toBe("__Secure-raintrip.session_token");
    const options = makeAuth(database(), { ...signInSettings(), url: new URL("https://raintrip.example") }).options;
    expect(options.advanced).toMatchObject({
      useSecureCookies: true,
      defaultCookieAttributes: { httpOnly: true, sameSite: "lax" },
    });
  });

  test("a cookie that was not signed here asks the database nothing", () => {
    const [token, signature] = decodeURIComponent(anna.cookie.split("=").slice(1).join("=")).split(".") as [
      string,
      string,
    ];
    expect(tokenOfCookie(`${token}.${signature}`, SECRET)).toBe(token);
    expect(tokenOfCookie(`${token}x.${signature}`, SECRET)).toBeNull();
    expect(tokenOfCookie(`${token}.${signature}`, `${SECRET}x`)).toBeNull();
    for (const bad of ["", ".", token, `${token}.`, ".x"]) expect(tokenOfCookie(bad, SECRET)).toBeNull();
  });

  test("who asks is one query", async () => {
    const { signIn: pool } = database();
    const query = vi.spyOn(pool, "query");
    await who(anna.cookie);
    expect(query).toHaveBeenCalledTimes(1);
    query.mockRestore();
  });

  test("a request with a foreign origin, or a cookie and no origin, is refused", async () => {
    for (const origin of ["https://elsewhere.example", "http://localhost:9999", "null"]) {
      const headers = { ...peer(), origin, cookie: anna.cookie };
      expect((await handleSignIn(fromBrowser("/api/auth/sign-out", {}, headers))).status, origin).toBe(403);
    }
    expect(await who(anna.cookie)).not.toBeNull();
  });

  test("signing out ends the session on the server", async () => {
    const cookie = cookieOf(await signIn(anna.email, PASSWORD)) as string;
    expect((await handleSignIn(fromBrowser("/api/auth/sign-out", {}, { ...peer(), cookie }))).status).toBe(200);
    expect(await who(cookie)).toBeNull();
  });

  test("what of the library is not used is closed", async () => {
    const shut = ["sign-up/email", "get-session", "list-sessions", "update-user", "delete-user", "ok", "error"];
    for (const path of [...shut, "sign-in/social", "request-password-reset", "sign-in/../sign-up/email"])
      expect((await handleSignIn(fromBrowser(`/api/auth/${path}`, {}, peer()))).status, path).toBe(404);
    expect((await handleSignIn(fromBrowser("/api/auth/sign-out", undefined, peer()))).status).toBe(404);
  });
});

describe("guessing", () => {
  test("ten wrong passwords close an address, also one that nobody has, and a right one is then refused too", async () => {
    const ben = await signedInAs("dispatcher");
    for (const email of [ben.email, "nobody@example.test"]) {
      for (let i = 0; i < MOST_FAILURES; i++) expect((await signIn(email, `guess number ${i} of it`)).status).toBe(401);
      const shut = await signIn(email, PASSWORD);
      expect(shut.status).toBe(429);
      expect(Number(shut.headers.get("retry-after"))).toBeGreaterThan(0);
    }
    expect((await audited("session.lock")).map((row) => row.subject)).toEqual([ben.actor.person]);
    await database().signIn.query("UPDATE sign_in_lock SET locked_until = now() - interval '1 second'");
    expect((await signIn(ben.email, "wrong again and again")).status).toBe(401); // counted anew
    expect((await signIn(ben.email, PASSWORD)).status).toBe(200);
    expect((await signIn(ben.email, "wrong again and again")).status).toBe(401);
  });

  test("one address on the network gets no more than its tries a minute", async () => {
    const from = peer();
    const tries: number[] = [];
    for (let i = 0; i < 22; i++) tries.push((await signIn(`x${i}@example.test`, "a guess of a password", from)).status);
    expect(tries.slice(0, 20)).toEqual(Array.from({ length: 20 }, () => 401));
    expect(tries.slice(20)).toEqual([429, 429]);
    expect((await signIn("y@example.test", "a guess of a password")).status).toBe(401); // another address
  });
});

describe("people", () => {
  let admin: Actor;
  beforeAll(async () => {
    admin = (await signedInAs("administrator")).actor;
  });

  test("who is disabled is out at once and stays out; let in again, they are in", async () => {
    const cara = await signedInAs("manager");
    const body = { name: "Cara", role: "manager" as const, portfolios: [], crewId: null };
    await changePerson(admin, cara.actor.person, { ...body, disabled: true });
    expect(await who(cara.cookie)).toBeNull();
    expect((await signIn(cara.email, PASSWORD)).status).toBe(403);
    await expect(linkPerson(admin, cara.actor.person)).rejects.toThrow(/disabled/);
    await changePerson(admin, cara.actor.person, { ...body, disabled: false });
    expect((await signIn(cara.email, PASSWORD)).status).toBe(200);
  });

  test("a changed role holds from the next request on", async () => {
    const dan = await signedInAs("dispatcher");
    await changePerson(admin, dan.actor.person, {
      name: "Dan",
      role: "manager",
      portfolios: [],
      crewId: null,
      disabled: false,
    });
    expect(await who(dan.cookie)).toMatchObject({ name: "Dan", actor: { role: "manager" } });
  });

  test("a new link sets a new password and ends what was open; the address stays", async () => {
    const eve = await signedInAs("manager");
    const { url } = await linkPerson(admin, eve.actor.person);
    const used = await join({
      token: url.split("#")[1],
      email: "other@example.test",
      password: "quite another sentence",
    });
    expect(used.status).toBe(200);
    expect(await who(cookieOf(used) as string)).toMatchObject({ email: eve.email });
    expect(await who(eve.cookie)).toBeNull();
    expect((await signIn(eve.email, PASSWORD)).status).toBe(401);
    expect((await signIn(eve.email, "quite another sentence")).status).toBe(200);
  });

  test("a link runs out, and one address belongs to one person", async () => {
    const late = await invitePerson(admin, { name: "Late", role: "manager", portfolios: [], crewId: null });
    await database().signIn.query("UPDATE person_link SET expires_at = now() WHERE person_id = $1", [late.personId]);
    const given = { email: "late@example.test", password: PASSWORD };
    expect((await join({ token: late.url.split("#")[1], ...given })).status).toBe(404);
    const twin = await invitePerson(admin, { name: "Twin", role: "manager", portfolios: [], crewId: null });
    const { email } = await signedInAs("manager");
    const token = twin.url.split("#")[1];
    expect((await join({ token, email, password: PASSWORD })).status).toBe(400);
    expect((await join({ token, email: "twin@example.test", password: PASSWORD })).status).toBe(200); // it was not used up
  });

  test("an owner without books and a technician without a crew are refused, and so is losing the last administrator", async () => {
    const nobody = { name: "X", portfolios: [], crewId: null };
    await expect(invitePerson(admin, { ...nobody, role: "owner" })).rejects.toThrow(/own books/);
    await expect(invitePerson(admin, { ...nobody, role: "owner", portfolios: ["none"] })).rejects.toThrow(/no book/);
    await expect(invitePerson(admin, { ...nobody, role: "technician" })).rejects.toThrow(/own crew/);
    const { people } = await readPeople(admin);
    const admins = people.filter((p) => p.role === "administrator");
    expect(admins.length).toBeGreaterThan(1);
    const demote = (id: string) =>
      changePerson(admin, id, { name: "Former", role: "manager", portfolios: [], crewId: null, disabled: false });
    for (const one of admins.slice(1)) await demote(one.personId);
    await expect(demote(admins[0]?.personId as string)).rejects.toThrow(/last administrator/);
  });

  test("each person sets the units they read in, whatever their role, and nobody else's", async () => {
    const [owner, other] = [await signedInAs("owner"), await signedInAs("technician")];
    expect((await who(owner.cookie))?.units).toBe("metric");
    await setOwnUnits(owner.actor, { units: "us" });
    await setOwnUnits(owner.actor, { units: "us" });
    expect([(await who(owner.cookie))?.units, (await who(other.cookie))?.units]).toEqual(["us", "metric"]);
    const subjects = (await audited("person.units")).map((entry) => entry.subject);
    expect(subjects).toEqual([owner.actor.person]);
    // The database holds the row to its person, whoever forgets to ask.
    const seen = await readTransaction(other.actor, (tx) => tx`SELECT person_id FROM person_setting`);
    expect([...seen]).toEqual([]);
    const forged = writeTransaction(other.actor, async (tx) => {
      await tx`INSERT INTO person_setting (account_id, person_id, units) VALUES (1, ${owner.actor.person}, 'metric')`;
      return { result: null, note: null };
    });
    await expect(forged).rejects.toThrow(/row-level security/);
  });

  test("a person sees and ends their own sessions only", async () => {
    const finn = await signedInAs("manager");
    const gail = await signedInAs("manager");
    const second = cookieOf(await signIn(finn.email, PASSWORD)) as string;
    const here = (await who(finn.cookie))?.sessionId as string;
    const sessions = await readOwnSessions(finn.actor, here);
    expect(sessions).toHaveLength(2);
    expect(sessions.filter((s) => s.isThis).map((s) => s.id)).toEqual([here]);
    const hers = (await who(gail.cookie))?.sessionId as string;
    await expect(endSession(finn.actor, hers)).rejects.toThrow(/not yours/);
    expect(await who(gail.cookie)).not.toBeNull();
    await endSession(finn.actor, sessions.find((s) => !s.isThis)?.id as string);
    expect(await who(second)).toBeNull();
    expect(await who(finn.cookie)).not.toBeNull();
  });
});

describe("tokens", () => {
  test("a token is stored as a hash, says what it may do, and ends when it is revoked or runs out", async () => {
    const made = await makeToken(LOCAL_ACTOR, { name: "meter", scopes: ["read"], days: 1, portfolios: [] });
    expect(await whoHasToken(made.token)).toMatchObject({
      role: "token",
      scopes: ["read"],
      person: `token:${made.tokenId}`,
    });
    const stored = await database().signIn.query("SELECT * FROM api_token WHERE token_id = $1", [made.tokenId]);
    expect(JSON.stringify(stored.rows)).not.toContain(made.token.slice(3));
    expect(await whoHasToken(`${made.token}x`)).toBeNull();
    await revokeToken(LOCAL_ACTOR, made.tokenId);
    expect(await whoHasToken(made.token)).toBeNull();
    await expect(revokeToken(LOCAL_ACTOR, made.tokenId)).rejects.toThrow(/no token/);
    const old = await makeToken(LOCAL_ACTOR, { name: "old", scopes: ["read"], days: 1, portfolios: [] });
    await database().signIn.query("UPDATE api_token SET expires_at = now() WHERE token_id = $1", [old.tokenId]);
    expect(await whoHasToken(old.token)).toBeNull();
    await expect(
      makeToken(LOCAL_ACTOR, { name: "both", scopes: ["import"], days: 1, portfolios: ["North"] }),
    ).rejects.toThrow(/cannot be held/);
  });
});

describe("demo people", () => {
  test("let anybody on this machine act as them, and nobody else's machine", async () => {
    await makeDemoPeople(LOCAL_ACTOR);
    await makeDemoPeople(LOCAL_ACTOR);
    const demo = await handleSignIn(fromBrowser("/api/auth/sign-in/demo", { person: "demo-dispatcher" }, peer()));
    expect(await who(cookieOf(demo) as string)).toMatchObject({ isDemo: true, actor: { role: "dispatcher" } });
    const real = (await signedInAs("manager")).actor.person;
    expect((await handleSignIn(fromBrowser("/api/auth/sign-in/demo", { person: real }, peer()))).status).toBe(404);
    const open = { RAINTRIP_LISTEN: "0.0.0.0", RAINTRIP_URL: "https://raintrip.example", RAINTRIP_SECRET: SECRET };
    expect(signInSettings(open as never).demoAllowed).toBe(false);
    expect(signInSettings({ ...open, RAINTRIP_DEMO_USERS: "allow" } as never).demoAllowed).toBe(true);
    expect(() => signInSettings({ RAINTRIP_LISTEN: "0.0.0.0", RAINTRIP_SECRET: SECRET } as never)).toThrow(
      /RAINTRIP_URL/,
    );
    const shut = makeAuth(database(), { ...signInSettings(), demoAllowed: false });
    const refused = await shut.handler(fromBrowser("/api/auth/sign-in/demo", { person: "demo-dispatcher" }, peer()));
    expect(refused.status).toBe(403);
  });
});
