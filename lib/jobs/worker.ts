import { systemActor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { ImportRunJob, LossRunJob, PlanRunJob, QUEUES, SiteScoreJob, startBoss, WeatherFetchJob } from "./boss.ts";
import { runImportJob } from "./import-run.ts";
import { openLossRunIfDue, runLossRuns } from "./loss-run.ts";
import { runPlans } from "./plan-run.ts";
import { refreshScores } from "./refresh-scores.ts";
import { sweep } from "./sweep.ts";
import { runWeatherFeed, weatherFeed } from "./weather-run.ts";

const POLL_SECONDS = 0.5;
const SWEEP_MS = 15_000;

/**
 * Start handling jobs.
 * @returns a function that stops: running jobs are told to end, and what they left is picked up by the next worker
 */
export async function startWorker(db: Database): Promise<() => Promise<void>> {
  const boss = await startBoss(db.address, true);
  const ending = new AbortController();
  await boss.work(QUEUES.importRun, { pollingIntervalSeconds: POLL_SECONDS, batchSize: 1 }, async ([job]) => {
    const { accountId, importId } = ImportRunJob.parse(job?.data);
    await runImportJob(db, systemActor(accountId), importId, ending.signal);
    await boss.send(QUEUES.siteScore, { accountId }, { singletonKey: String(accountId) });
  });
  await boss.work(QUEUES.siteScore, { pollingIntervalSeconds: POLL_SECONDS, batchSize: 1 }, async ([job]) => {
    const { accountId } = SiteScoreJob.parse(job?.data);
    const actor = systemActor(accountId);
    await refreshScores(actor, { now: Date.now(), signal: ending.signal });
    // The losses follow the scores, as a job of their own that can be stopped.
    if (!ending.signal.aborted && (await openLossRunIfDue(actor, db)))
      await boss.send(QUEUES.lossRun, { accountId }, { singletonKey: String(accountId) });
  });
  await boss.work(QUEUES.lossRun, { pollingIntervalSeconds: POLL_SECONDS, batchSize: 1 }, async ([job]) => {
    const { accountId } = LossRunJob.parse(job?.data);
    await runLossRuns(db, systemActor(accountId), { signal: ending.signal });
  });
  await boss.work(QUEUES.weatherFetch, { pollingIntervalSeconds: POLL_SECONDS, batchSize: 1 }, async ([job]) => {
    const { accountId } = WeatherFetchJob.parse(job?.data);
    const feed = weatherFeed();
    if (feed.kind !== "on") return;
    const changed = await runWeatherFeed(db, systemActor(accountId), { ...feed, signal: ending.signal });
    if (changed) await boss.send(QUEUES.siteScore, { accountId }, { singletonKey: String(accountId) });
  });
  await boss.work(QUEUES.planRun, { pollingIntervalSeconds: POLL_SECONDS, batchSize: 1 }, async ([job]) => {
    const { accountId } = PlanRunJob.parse(job?.data);
    const actor = systemActor(accountId);
    // A plan of a queue that is behind its records would be one of yesterday's.
    await refreshScores(actor, { now: Date.now(), signal: ending.signal });
    await runPlans(db, actor, ending.signal);
  });
  const sweepNow = () => sweep(db, boss).catch((error: Error) => console.error(`raintrip sweep: ${error.message}`));
  await sweepNow();
  const timer = setInterval(sweepNow, SWEEP_MS);
  return async () => {
    clearInterval(timer);
    ending.abort();
    await boss.stop({ graceful: true, wait: true, timeout: 8_000 });
  };
}
