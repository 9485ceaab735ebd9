import PgBoss from "pg-boss";
import postgres from "postgres";
import { z } from "zod";
import type { DatabaseAddress } from "../store/embedded.ts";
import { log } from "../store/log.ts";

/** Work that pages and imports leave to the worker. Each handler is idempotent: running it twice changes nothing. */
export const QUEUES = {
  /** Run a waiting import. */
  importRun: "import.run",
  /** Recompute what is stale of an account. */
  siteScore: "site.score",
  /** Carry out the open run of the weather feed. */
  weatherFetch: "weather.fetch",
  /** Carry out the open runs over the losses of an account. */
  lossRun: "loss.run",
  /** Hand over the notices that are due. */
  noticeSend: "notice.send",
  /** Make the plans that were asked for. */
  planRun: "plan.run",
} as const;

export const ImportRunJob = z.object({
  accountId: z.number().int(),
  importId: z.string(),
  /** How many workers passed it on, because the files lie with another. */
  passed: z.number().int().default(0),
});
export const WeatherFetchJob = z.object({ accountId: z.number().int() });
export const LossRunJob = z.object({ accountId: z.number().int() });
export const NoticeSendJob = z.object({ accountId: z.number().int() });
export const PlanRunJob = z.object({ accountId: z.number().int() });
export const SiteScoreJob = z.object({ accountId: z.number().int() });

const QUIET = { schedule: false } as const;

/** Make the queue's own schema as the owner; the application role then only reads and writes its rows. */
export async function installQueue(address: DatabaseAddress): Promise<void> {
  const owner = postgres(address.ownerUrl, { max: 1, onnotice: () => {} });
  try {
    const [found] = await owner`SELECT to_regclass('pgboss.queue') IS NOT NULL AS there`;
    const names = found?.there ? (await owner`SELECT name FROM pgboss.queue`).map((row) => row.name as string) : [];
    if (Object.values(QUEUES).every((name) => names.includes(name))) return;
    const boss = new PgBoss({ connectionString: address.ownerUrl, max: 1, supervise: false, ...QUIET });
    await boss.start();
    await boss.createQueue(QUEUES.importRun, {
      name: QUEUES.importRun,
      policy: "standard",
      retryLimit: 3,
      expireInHours: 12,
    });
    await boss.createQueue(QUEUES.siteScore, {
      name: QUEUES.siteScore,
      policy: "short",
      retryLimit: 3,
      expireInHours: 2,
    });
    await boss.createQueue(QUEUES.weatherFetch, {
      name: QUEUES.weatherFetch,
      policy: "short",
      retryLimit: 0,
      expireInHours: 12,
    });
    await boss.createQueue(QUEUES.lossRun, {
      name: QUEUES.lossRun,
      policy: "short",
      retryLimit: 3,
      expireInHours: 2,
    });
    await boss.createQueue(QUEUES.noticeSend, {
      name: QUEUES.noticeSend,
      policy: "short",
      retryLimit: 0,
      expireInHours: 1,
    });
    await boss.createQueue(QUEUES.planRun, {
      name: QUEUES.planRun,
      policy: "short",
      retryLimit: 3,
      expireInHours: 2,
    });
    await boss.stop({ graceful: false });
    await owner.unsafe(`GRANT USAGE ON SCHEMA pgboss TO raintrip_app;
      GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA pgboss TO raintrip_app;
      GRANT EXECUTE ON ALL FUNCTIONS IN SCHEMA pgboss TO raintrip_app`);
  } finally {
    await owner.end({ timeout: 5 });
  }
}

/** A running client of the queue as the application role. `supervise` only in workers: they do the queue's housekeeping. */
export async function startBoss(address: DatabaseAddress, supervise: boolean): Promise<PgBoss> {
  const switched = !address.embedded && address.appUrl === address.ownerUrl;
  const boss = new PgBoss({
    connectionString: address.appUrl,
    max: 2,
    migrate: false,
    supervise,
    ...QUIET,
    ...(switched ? ({ options: "-c role=raintrip_app" } as object) : {}),
  });
  boss.on("error", (error) => log.error({ err: error }, "queue"));
  await boss.start();
  return boss;
}
