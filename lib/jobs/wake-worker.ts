import type PgBoss from "pg-boss";
import { database } from "../store/database.ts";
import { QUEUES, startBoss } from "./boss.ts";
import { sendAndRing } from "./queue-bell.ts";

const holder = globalThis as { raintripBoss?: Promise<PgBoss> | undefined };

async function queue(): Promise<PgBoss> {
  holder.raintripBoss ??= database().then((db) => startBoss(db.address, false));
  return holder.raintripBoss;
}

const send = async (queueName: string, data: object, options?: PgBoss.SendOptions) =>
  sendAndRing(await database(), await queue(), queueName, data, options);

/** Tell a worker that an import waits. If this fails, the worker's next round finds the import by itself. */
export async function wakeWorker(accountId: number, importId: string): Promise<void> {
  await send(QUEUES.importRun, { accountId, importId });
}

/** Tell a worker that scores may be stale. */
export async function wakeScoring(accountId: number): Promise<void> {
  await send(QUEUES.siteScore, { accountId }, { singletonKey: String(accountId) });
}

/** Tell a worker that a run over losses waits. */
export async function wakeLoss(accountId: number): Promise<void> {
  await send(QUEUES.lossRun, { accountId }, { singletonKey: String(accountId) });
}

/** Tell a worker that a run of the weather feed is open. */
export async function wakeWeather(accountId: number): Promise<void> {
  await send(QUEUES.weatherFetch, { accountId }, { singletonKey: String(accountId) });
}

/** Tell a worker that there may be notices to send. */
export async function wakeNotices(accountId: number): Promise<void> {
  await send(QUEUES.noticeSend, { accountId }, { singletonKey: String(accountId) });
}

/** Tell a worker that a plan was asked for. */
export async function wakePlans(accountId: number): Promise<void> {
  await send(QUEUES.planRun, { accountId }, { singletonKey: String(accountId) });
}
