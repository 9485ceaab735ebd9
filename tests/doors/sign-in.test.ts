import { beforeAll, describe, expect, test } from "vitest";
import { sessionCookie } from "../../lib/sign-in/settings.ts";
import { whoHasSession } from "../../lib/sign-in/who-asks.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { handleSignIn } from "../../lib/writes/sign-in.ts";
import { cookieOf, fromBrowser, type MadePerson, ORIGIN, PASSWORD, peer, signedInAs } from "../support/signed-in.ts";
import { useTestDatabase } from "../support/test-database.ts";

useTestDatabase();
const SECRET = "a secret of the tests that is long enough for anybody";
process.env.RAINTRIP_SECRET = SECRET;

let anna: MadePerson;
beforeAll(async () => {
  anna = await signedInAs("manager");
});

const who = (cookie: string) => whoHasSession(decodeURIComponent(cookie.split("=").slice(1).join("=")), SECRET);
const signIn = (email: string, password: string, headers = peer()) =>
  handleSignIn(fromBrowser("/api/auth/sign-in/email", { email, password }, headers));

describe("signing in", () => {
  test("a link lets a person in, and the session says who it is", async () => {
    expect(anna.cookie.split("=")[0]).toBe(sessionCookie(new URL(ORIGIN)));
    expect(await who(anna.cookie)).toMatchObject({
      actor: { accountId: 1, role: "manager", person: anna.actor.person },
    });
  });
  test("the password opens a session, a wrong one does not", async () => {
    const right = await signIn(anna.email, PASSWORD);
    expect(right.status).toBe(200);
    expect(await right.text()).not.toContain("token");
    expect(await who(cookieOf(right) as string)).toMatchObject({ actor: { person: anna.actor.person } });
    const wrong = await signIn(anna.email, "wrong wrong wrong");
    expect(wrong.status).toBe(401);
    expect(cookieOf(wrong)).toBeNull();
    const rows = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx`SELECT person FROM audit_entry WHERE action = 'session.start'`,
    );
    expect(rows.length).toBe(2);
  });
});
