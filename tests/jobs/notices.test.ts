import http from "node:http";
import type { AddressInfo } from "node:net";
import { SMTPServer } from "smtp-server";
import { afterAll, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { runNotices } from "../../lib/jobs/notice-run.ts";
import { LOCAL_ACTOR, systemActor } from "../../lib/store/actor.ts";
import { beginAttempt, dueNotices, noticeLog } from "../../lib/store/notices.ts";
import { readTransaction, systemTransaction } from "../../lib/store/transaction.ts";
import { addNoticeRecipient, removeNoticeRecipient } from "../../lib/writes/notice-recipient.ts";
import { useTestDatabase } from "../support/test-database.ts";

const db = useTestDatabase();

interface Mail {
  to: string[];
  text: string;
}
const mails: Mail[] = [];
let smtpRefuses = 0;
let smtp: SMTPServer;
let smtpPort = 0;
let hook: http.Server;
let hookUrl = "";
const calls: { id: string; body: string }[] = [];
/** How the webhook answers the next calls; used up one at a time. */
const misbehave: ((response: http.ServerResponse) => void)[] = [];

beforeAll(async () => {
  process.env.RAINTRIP_WEBHOOK_PRIVATE = "1";
  smtp = new SMTPServer({
    authOptional: true,
    disabledCommands: ["STARTTLS"],
    onData(stream, session, done) {
      let text = "";
      stream.on("data", (chunk: Buffer) => {
        text += chunk.toString();
      });
      stream.on("end", () => {
        if (smtpRefuses > 0) {
          smtpRefuses--;
          done(Object.assign(new Error("greylisted, try later"), { responseCode: 451 }));
          return;
        }
        mails.push({ to: session.envelope.rcptTo.map((rcpt) => rcpt.address), text });
        done();
      });
    },
  });
  await new Promise<void>((resolve) => {
    smtp.listen(0, "127.0.0.1", () => resolve());
  });
  smtpPort = (smtp.server.address() as AddressInfo).port;
  hook = http.createServer((request, response) => {
    let body = "";
    request.on("data", (chunk) => {
      body += chunk;
    });
    request.on("end", () => {
      calls.push({ id: String(request.headers["raintrip-notice"]), body });
      const odd = misbehave.shift();
      if (odd) odd(response);
      else response.writeHead(200).end();
    });
  });
  await new Promise<void>((resolve) => hook.listen(0, "127.0.0.1", resolve));
  hookUrl = `http://127.0.0.1:${(hook.address() as AddressInfo).port}/hook`;
});
afterAll(async () => {
  delete process.env.RAINTRIP_WEBHOOK_PRIVATE;
  await new Promise<void>((resolve) => smtp.close(() => resolve()));
  hook.closeAllConnections();
  await new Promise((resolve) => hook.close(resolve));
});

let clock = 0;
let alerts = 0;
const worker = systemActor(LOCAL_ACTOR.accountId);
const run = (over: { smtp?: boolean } = {}) =>
  runNotices(db(), worker, {
    settings: {
      smtp:
        over.smtp === false
          ? null
          : { url: `smtp://127.0.0.1:${smtpPort}?ignoreTLS=true`, from: "raintrip@example.invalid" },
      allowPrivate: true,
    },
    signal: new AbortController().signal,
    now: () => clock,
    timeoutMs: 400,
  });
const raise = () =>
  systemTransaction(worker, (tx) => {
    alerts++;
    return tx`INSERT INTO outbox_alert (account_id, kind, subject, detail)
      VALUES (current_account(), 'stop_reading', ${`S1/${alerts}`}, ${tx.json({ siteId: "S1" })})`;
  });
const log = () => readTransaction(LOCAL_ACTOR, (tx) => noticeLog(tx, 50));
const add = (over: object) =>
  addNoticeRecipient(LOCAL_ACTOR, {
    ...{ kind: "email" as const, address: "boss@example.invalid", makeSafe: true, planChanges: false },
    ...{ quietFrom: null, quietTo: null, timeZone: "UTC" },
    ...over,
  });

beforeEach(async () => {
  mails.length = 0;
  calls.length = 0;
  misbehave.length = 0;
  smtpRefuses = 0;
  await systemTransaction(worker, async (tx) => {
    await tx`UPDATE notice SET state = 'given_up' WHERE account_id = current_account()`;
    await tx`UPDATE notice_recipient SET removed_at = clock_timestamp() WHERE account_id = current_account()`;
    await tx`UPDATE outbox_alert SET acknowledged_at = clock_timestamp() WHERE account_id = current_account()`;
  });
  clock = Date.now() + 1000;
});

describe("runNotices", () => {
  test("an alert goes out once by e-mail and once as a signed call, however often the worker looks", async () => {
    await add({});
    await add({ kind: "webhook", address: hookUrl });
    await raise();
    expect(await run()).toBe(2);
    expect(await run()).toBe(0);
    expect(mails).toHaveLength(1);
    expect(mails[0]?.to).toEqual(["boss@example.invalid"]);
    expect(mails[0]?.text).toMatch(/Subject: STOP READING: S1/);
    expect(mails[0]?.text.replace(/=\r?\n|\r?\n/g, " ")).toMatch(/Keep people away from the array/);
    expect(calls).toHaveLength(1);
    expect(JSON.parse(calls[0]?.body ?? "")).toMatchObject({
      kind: "make_safe",
      event: `alert/stop_reading/S1/${alerts}`,
    });
    expect((await log()).filter((entry) => entry.state === "sent")).toHaveLength(2);
  });

  test("an error, silence and a redirect are tried again, later each time, under the same id, and logged", async () => {
    await add({ kind: "webhook", address: hookUrl });
    await raise();
    misbehave.push(
      (response) => response.writeHead(500).end(),
      () => {},
      (response) => response.writeHead(302, { location: "http://127.0.0.1:1/" }).end(),
    );
    const waits: number[] = [];
    for (let n = 0; n < 4; n++) {
      await run();
      const [entry] = await log();
      waits.push((entry?.nextAt ?? 0) - clock);
      if (n < 3) {
        expect(entry?.state).toBe("waiting");
        expect(await run()).toBe(0);
        clock = entry?.nextAt ?? 0;
      }
    }
    expect((await log())[0]).toMatchObject({ state: "sent", attempts: 4, last: "answered 200" });
    expect(waits.slice(0, 3)).toEqual([30_000, 60_000, 120_000]);
    expect(new Set(calls.map((call) => call.id)).size).toBe(1);
    const tries = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<{ says: string }[]>`SELECT t.says FROM notice_attempt t JOIN notice n USING (account_id, notice_id)
        WHERE n.state = 'sent' AND n.attempts = 4 ORDER BY attempt`,
    );
    expect(tries.map((row) => row.says)).toEqual([
      "answered 500",
      "no answer in 0.4 s",
      "answered 302, a redirect, which is not followed",
      "answered 200",
    ]);
  });

  test("a mail server that says later is asked later", async () => {
    await add({});
    await raise();
    smtpRefuses = 1;
    await run();
    expect((await log())[0]).toMatchObject({ state: "waiting", last: "the mail server answered 451" });
    clock += 31_000;
    expect(await run()).toBe(1);
    expect(mails).toHaveLength(1);
  });

  test("a worker that was killed while it sent leaves its trace, and the notice goes out under the same id", async () => {
    await add({});
    await raise();
    await run({ smtp: false });
    clock += 6 * 60_000;
    const [due] = await readTransaction(LOCAL_ACTOR, (tx) => dueNotices(tx, clock, 1));
    const noticeId = due?.noticeId ?? "";
    // What a process leaves that dies between beginning a try and ending it.
    await systemTransaction(worker, (tx) => beginAttempt(tx, noticeId, clock));
    expect(await run()).toBe(1);
    expect(mails[0]?.text).toContain(`Message-ID: <${noticeId}@example.invalid>`);
    const tries = await readTransaction(
      LOCAL_ACTOR,
      (tx) =>
        tx<
          { ok: boolean | null; says: string }[]
        >`SELECT ok, says FROM notice_attempt WHERE notice_id = ${noticeId} ORDER BY attempt`,
    );
    expect([...tries]).toEqual([
      { ok: null, says: expect.stringContaining("not known") },
      { ok: true, says: "taken by the mail server" },
    ]);
  });

  test("two workers at once send each notice once", async () => {
    await add({ kind: "webhook", address: hookUrl });
    for (let n = 0; n < 5; n++) await raise();
    await Promise.all([run(), run(), run()]);
    await run();
    expect(calls).toHaveLength(5);
    expect(new Set(calls.map((call) => call.id)).size).toBe(5);
  });

  test("quiet hours hold back a change of plans, never a make-safe alert", async () => {
    const { recipientId } = await add({ planChanges: true, quietFrom: "20:00", quietTo: "07:00" });
    await raise();
    await systemTransaction(worker, async (tx) => {
      await tx`INSERT INTO plan (account_id, plan_id, from_day, days, seed, effort, objective, made_by, state, confirmed_at)
        VALUES (current_account(), 'plan-q', '2027-01-04', 1, 1, 1, 0, 'T', 'confirmed', clock_timestamp())`;
      await tx`INSERT INTO plan_change (account_id, plan_id, seq, person, kind, says) VALUES (current_account(), 'plan-q', 1, 'T', 'confirm', 'Confirmed.')`;
    });
    const day = Math.ceil(clock / 86_400_000) * 86_400_000;
    clock = day + 23 * 3_600_000;
    expect(await run()).toBe(1);
    expect(mails.map((mail) => /STOP READING/.test(mail.text))).toEqual([true]);
    const waiting = (await log()).find((entry) => entry.kind === "plan_change");
    expect(waiting).toMatchObject({ state: "waiting", attempts: 0, nextAt: day + 31 * 3_600_000 });
    clock = day + 31 * 3_600_000;
    expect(await run()).toBe(1);
    expect(mails).toHaveLength(2);
    await removeNoticeRecipient(LOCAL_ACTOR, { recipientId });
    await raise();
    await run();
    expect(mails).toHaveLength(2);
  });

  test("what is no danger to people, as a deadline, is no make-safe notice", async () => {
    await add({});
    await systemTransaction(
      worker,
      (tx) => tx`INSERT INTO outbox_alert (account_id, kind, subject, detail)
        VALUES (current_account(), 'some_deadline', 'S1/x', ${tx.json({ siteId: "S1" })})`,
    );
    expect(await run()).toBe(0);
    expect(mails).toHaveLength(0);
  });

  test("without a mail server e-mail waits and is not lost; nobody is told of what was before them", async () => {
    await raise();
    await new Promise((resolve) => setTimeout(resolve, 5));
    await add({});
    expect(await run()).toBe(0);
    await raise();
    expect(await run({ smtp: false })).toBe(0);
    clock += 6 * 60_000;
    expect(await run()).toBe(1);
    expect(mails).toHaveLength(1);
  });
});
