// A process of its own in which things go wrong with secrets at hand. What it answers goes to standard output, what it logs to
// standard error, and tests/jobs/secrets.test.ts looks for the secrets in both.

import { answer } from "../../app/api/answer.ts";
import { AppError } from "../../lib/core/app-error.ts";
import { runNotices } from "../../lib/jobs/notice-run.ts";
import { noticeConfiguration } from "../../lib/live/notice-settings.ts";
import { readQueue } from "../../lib/reads/queue.ts";
import { whoHasToken } from "../../lib/sign-in/who-asks.ts";
import { LOCAL_ACTOR, systemActor } from "../../lib/store/actor.ts";
import { closeDatabase, database, openDatabase } from "../../lib/store/database.ts";
import { noticeLog } from "../../lib/store/notices.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { handleSignIn } from "../../lib/writes/sign-in.ts";
import { fromBrowser } from "./signed-in.ts";

const given = JSON.parse(process.env.SCENE as string) as Record<
  "email" | "password" | "wrong" | "link" | "badToken" | "apiToken",
  string
>;
const tell = async (what: string, reply: Response) =>
  process.stdout.write(`${what} ${reply.status} ${await reply.text()}\n`);
const post = (path: string, body: unknown) =>
  handleSignIn(fromBrowser(path, body, { "x-raintrip-address": "10.9.9.9" }));

await tell("wrong", await post("/api/auth/sign-in/email", { email: given.email, password: given.wrong }));
await tell("right", await post("/api/auth/sign-in/email", { email: given.email, password: given.password }));
await tell("join", await post("/api/auth/join", { token: given.link, password: given.password }));
await tell(
  "join without sense",
  await post("/api/auth/join", { token: { x: given.link }, password: [given.password] }),
);
await tell("provider", await post("/api/auth/sign-in/provider", {}));
for (const token of [given.badToken, given.apiToken]) {
  const ask = async () => {
    const actor = await whoHasToken(token);
    if (!actor) throw new AppError("unauthorized", { message: "No such token." });
    return readQueue(actor);
  };
  await tell("api", await answer(ask));
}
const db = await database();
await runNotices(db, systemActor(LOCAL_ACTOR.accountId), {
  settings: noticeConfiguration(process.env).settings,
  signal: new AbortController().signal,
  now: () => Date.now() + 60_000,
  timeoutMs: 2_000,
});
process.stdout.write(`notices ${JSON.stringify(await readTransaction(LOCAL_ACTOR, (tx) => noticeLog(tx, 50)))}\n`);
// A password that the database does not take, and a database that is not there.
for (const change of [{ username: "raintrip_nobody" }, { port: "9" }]) {
  const away = new URL(db.address.appUrl);
  Object.assign(away, change);
  const url = away.href;
  const broken = openDatabase({ ...db.address, appUrl: url, ownerUrl: url });
  await tell("database", await answer(() => readTransaction(LOCAL_ACTOR, (tx) => tx`SELECT 1`, broken)));
  await closeDatabase(broken).catch(() => {});
}
process.exit(0);
