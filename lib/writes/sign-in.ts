import "server-only";
import { z } from "zod";
import { type Auth, makeAuth } from "../sign-in/auth.ts";
import { clearFailures, countFailure, LOCKED_MINUTES, lockedUntil } from "../sign-in/lockout.ts";
import { CALLBACK } from "../sign-in/provider-sign-in.ts";
import { signInSettings } from "../sign-in/settings.ts";
import { type Database, database } from "../store/database.ts";
import { writeTransaction } from "../store/transaction.ts";

/** What of the library answers over HTTP: everything else it could do is closed. */
const OPEN = new Map<string, readonly string[]>([
  ["/sign-in/email", ["POST"]],
  ["/sign-in/demo", ["POST"]],
  ["/sign-in/provider", ["POST"]],
  [CALLBACK, ["GET"]],
  ["/sign-out", ["POST"]],
  ["/join", ["POST"]],
  ["/join/look", ["POST"]],
  ["/join/provider", ["POST"]],
  ["/change-password", ["POST"]],
  ["/passkey/generate-register-options", ["GET"]],
  ["/passkey/verify-registration", ["POST"]],
  ["/passkey/generate-authenticate-options", ["GET", "POST"]],
  ["/passkey/verify-authentication", ["POST"]],
  ["/passkey/list-user-passkeys", ["GET"]],
  ["/passkey/delete-passkey", ["POST"]],
]);

/** A passkey's answer has a few kilobytes. */
const MOST_BYTES = 64 * 1024;

const holder = globalThis as { raintripAuth?: WeakMap<Database, Auth> };

async function authOf(db: Database): Promise<Auth> {
  holder.raintripAuth ??= new WeakMap();
  const made = holder.raintripAuth.get(db) ?? makeAuth(db, signInSettings());
  holder.raintripAuth.set(db, made);
  return made;
}

/** The HTTP side of signing in, out and joining. The session's secret leaves in its cookie only, never in a body. */
export async function handleSignIn(request: Request): Promise<Response> {
  const { pathname } = new URL(request.url);
  const path = pathname.replace(/^\/api\/auth/, "");
  if (!OPEN.get(path)?.includes(request.method)) return says(404, "not_found", "There is nothing here.");
  if (request.headers.has("transfer-encoding") || Number(request.headers.get("content-length") ?? 0) > MOST_BYTES)
    return says(413, "too_large", "That is more than a sign-in holds.");
  const db = await database();
  const auth = await authOf(db);
  const reply = path === "/sign-in/email" ? await withLock(db, request, auth) : await auth.handler(request);
  return withoutToken(reply);
}

const Tried = z.object({ email: z.string().max(300) });

async function withLock(db: Database, request: Request, auth: Auth): Promise<Response> {
  const body = Tried.safeParse(
    await request
      .clone()
      .json()
      .catch(() => null),
  );
  if (!body.success) return says(400, "wrong_use", "Give an e-mail address and a password.");
  const { email } = body.data;
  const until = await lockedUntil(db, email);
  if (until) {
    const minutes = Math.max(1, Math.ceil((until.getTime() - Date.now()) / 60_000));
    const message = `Too many wrong passwords for this address. Try again in ${minutes} minute${minutes > 1 ? "s" : ""}, use a passkey, or ask an administrator for a new link.`;
    const reply = says(429, "locked", message);
    reply.headers.set("retry-after", String(minutes * 60));
    return reply;
  }
  const reply = await auth.handler(request);
  if (reply.ok) await clearFailures(db, email);
  else if (reply.status === 401 && (await countFailure(db, email))) await noteLock(db, email);
  return reply;
}

async function noteLock(db: Database, email: string): Promise<void> {
  const { rows } = await db.signIn.query(
    `SELECT p.account_id, p.person_id, p.role FROM sign_in_user JOIN person p USING (account_id, person_id) WHERE email = $1`,
    [email.trim().toLowerCase()],
  );
  const person = rows[0] as { account_id: number; person_id: string; role: string } | undefined;
  if (!person) return;
  const actor = { accountId: person.account_id, person: person.person_id, role: person.role };
  const note = { action: "session.lock", subject: person.person_id, detail: { minutes: LOCKED_MINUTES } };
  await writeTransaction(actor, async () => ({ result: null, note }), db);
}

async function withoutToken(reply: Response): Promise<Response> {
  reply.headers.set("cache-control", "no-store");
  if (!reply.headers.get("content-type")?.includes("json")) return reply;
  const body = (await reply.json().catch(() => null)) as Record<string, unknown> | null;
  const { token: _, session: __, ...rest } = body && !Array.isArray(body) ? body : {};
  return new Response(JSON.stringify(Array.isArray(body) ? body : rest), reply);
}

const says = (status: number, code: string, message: string) =>
  Response.json({ error: { code, message }, message }, { status, headers: { "cache-control": "no-store" } });
