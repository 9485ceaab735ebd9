import { SpanStatusCode, trace } from "@opentelemetry/api";
import type PgBoss from "pg-boss";
import { systemActor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { log, withLogContext } from "../store/log.ts";
import { hearing } from "../store/server-word.ts";
import {
  ImportRunJob,
  LossRunJob,
  NoticeSendJob,
  PlanRunJob,
  QUEUES,
  SiteScoreJob,
  startBoss,
  WeatherFetchJob,
} from "./boss.ts";
import { chores } from "./chores.ts";
import { runImportJob } from "./import-run.ts";
import { openLossRunIfDue, runLossRuns } from "./loss-run.ts";
import { noticeSettings, runNotices } from "./notice-run.ts";
import { runPlans } from "./plan-run.ts";
import { BELL, sendAndRing } from "./queue-bell.ts";
import { refreshScores, scoreChanged } from "./refresh-scores.ts";
import { sweep } from "./sweep.ts";
import { runWeatherFeed, weatherFeed } from "./weather-run.ts";

const POLL_SECONDS = 0.5;
const SWEEP_MS = 15_000;
const MOST_PASS_ON_S = 30;

/**
 * Start handling jobs.
 * @returns a function that stops: running jobs are told to end, and what they left is picked up by the next worker
 */
export async function startWorker(db: Database): Promise<() => Promise<void>> {
  const boss = await startBoss(db.address, true);
  const ending = new AbortController();
  const handlers = new Map<string, string>();
  const handle = async (queue: string, work: (data: unknown) => Promise<void>) => {
    const options = { pollingIntervalSeconds: POLL_SECONDS, batchSize: 1 };
    const id = await boss.work<object>(queue, options, async ([job]) => {
      if (job) await watched(queue, job, work);
    });
    handlers.set(queue, id);
  };
  const send = (queue: string, data: object, options?: PgBoss.SendOptions) =>
    sendAndRing(db, boss, queue, data, options);
  await handle(QUEUES.importRun, async (data) => {
    const { accountId, importId, passed } = ImportRunJob.parse(data);
    if (!(await runImportJob(db, systemActor(accountId), importId, ending.signal))) {
      // Soon at first, for the right one may be free; a host that is down is not asked after all the time.
      const startAfter = Math.min(MOST_PASS_ON_S, 1 + passed);
      await send(QUEUES.importRun, { accountId, importId, passed: passed + 1 }, { startAfter });
      return;
    }
    // Somebody may be looking for what the new rows did: their sites are scored here and now, the rest in its turn.
    await scoreChanged(systemActor(accountId), { now: Date.now(), signal: ending.signal }).catch((error: Error) =>
      log.error({ err: error }, "changed sites wait for the round"),
    );
    await send(QUEUES.siteScore, { accountId }, { singletonKey: String(accountId) });
  });
  await handle(QUEUES.siteScore, async (data) => {
    const { accountId } = SiteScoreJob.parse(data);
    const actor = systemActor(accountId);
    // A long round wakes another worker, which wakes the next: they share its sites.
    const callOthers = async () => {
      await send(QUEUES.siteScore, { accountId }, { singletonKey: String(accountId) });
    };
    await refreshScores(actor, { now: Date.now(), signal: ending.signal, callOthers });
    // The losses follow the scores, as a job of their own that can be stopped.
    if (!ending.signal.aborted && (await openLossRunIfDue(actor, db)))
      await send(QUEUES.lossRun, { accountId }, { singletonKey: String(accountId) });
  });
  await handle(QUEUES.lossRun, async (data) => {
    const { accountId } = LossRunJob.parse(data);
    await runLossRuns(db, systemActor(accountId), { signal: ending.signal });
  });
  await handle(QUEUES.weatherFetch, async (data) => {
    const { accountId } = WeatherFetchJob.parse(data);
    const feed = weatherFeed();
    if (feed.kind !== "on") return;
    const changed = await runWeatherFeed(db, systemActor(accountId), { ...feed, signal: ending.signal });
    if (changed) await send(QUEUES.siteScore, { accountId }, { singletonKey: String(accountId) });
  });
  await handle(QUEUES.planRun, async (data) => {
    const { accountId } = PlanRunJob.parse(data);
    const actor = systemActor(accountId);
    // A plan of a queue that is behind its records would be one of yesterday's; a draft says so, the API waits.
    const refresh = () => refreshScores(actor, { now: Date.now(), signal: ending.signal });
    await runPlans(db, actor, ending.signal, refresh);
  });
  await handle(QUEUES.noticeSend, async (data) => {
    const { accountId } = NoticeSendJob.parse(data);
    const { settings } = noticeSettings();
    await runNotices(db, systemActor(accountId), { settings, signal: ending.signal });
  });
  const bell = await hearing(db, BELL, (told) => {
    for (const [queue, id] of handlers) if (told === null || told === queue) boss.notifyWorker(id);
  });
  // One of the two that takes longer than the time to the next is not joined by it.
  const one = (name: string, work: () => Promise<void>) => {
    let going: Promise<void> | null = null;
    return () => {
      going ??= work()
        .catch((error: Error) => {
          // One that is told to end is gone on with by the next worker.
          if (!ending.signal.aborted) log.error({ err: error }, `${name} failed`);
        })
        .finally(() => {
          going = null;
        });
      return going;
    };
  };
  const sweepNow = one("round", () => sweep(db, boss, ending.signal));
  const choresNow = one("chores", () => chores(db, ending.signal));
  await sweepNow();
  void choresNow();
  const timer = setInterval(() => {
    void sweepNow();
    void choresNow();
  }, SWEEP_MS);
  return async () => {
    clearInterval(timer);
    ending.abort();
    await bell.end();
    await boss.stop({ graceful: true, wait: true, timeout: 8_000 });
  };
}

/** Run a job under its own id in the log and a span of its own; how long it took is logged, and so is why it failed. */
async function watched(queue: string, job: PgBoss.Job<object>, work: (data: unknown) => Promise<void>): Promise<void> {
  await withLogContext({ job_id: job.id, queue }, () =>
    trace.getTracer("raintrip").startActiveSpan(`job ${queue}`, { attributes: { "job.id": job.id } }, async (span) => {
      const began = performance.now();
      try {
        await work(job.data);
        log.info({ ms: Math.round(performance.now() - began) }, "job done");
      } catch (error) {
        span.setStatus({ code: SpanStatusCode.ERROR, message: (error as Error).message });
        log.error({ err: error, ms: Math.round(performance.now() - began) }, "job failed");
        throw error;
      } finally {
        span.end();
      }
    }),
  );
}
