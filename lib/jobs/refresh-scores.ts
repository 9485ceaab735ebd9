import type { Instant } from "../core/records.ts";
import { DEFAULT_PARAMETERS } from "../diagnose/parameters.ts";
import type { SiteScore } from "../reads/documents.ts";
import { type Actor, systemActor } from "../store/actor.ts";
import { type Database, database } from "../store/database.ts";
import { crews, visitsOf } from "../store/site-records.ts";
import { readTransaction, type Sql, writeTransaction } from "../store/transaction.ts";
import { benjaminiHochbergFleet, rankFleet } from "./fleet-pass.ts";
import { scoreLockKey } from "./import-lock.ts";
import { type FleetPlan, type SitePlan, scorePlan } from "./score-plan.ts";
import { type ScoredSite, scoreSite } from "./score-site.ts";
import { readBatch, StationCache } from "./site-inputs.ts";
import { type Proposer, standingOf, writeScores } from "./write-scores.ts";

/** Sites read at once: few enough that even noisy logs fit in memory together. */
const BATCH = 8;
const PARAMETERS = DEFAULT_PARAMETERS;

export interface RefreshOptions {
  now: Instant;
  signal?: AbortSignal;
  /** Called after each batch. */
  onProgress?: (done: number, total: number) => void;
}

/** Sites whose newest score was computed from something else than what is stored now. */
function stalePlans(plan: FleetPlan, current: Map<string, string>): SitePlan[] {
  return plan.plans.filter((p) => current.get(p.siteId) !== p.inputHash);
}

async function currentHashes(tx: Sql): Promise<Map<string, string>> {
  const rows = await tx<{ site_id: string; input_hash: string }[]>`
    SELECT site_id, input_hash FROM standing WHERE account_id = current_account()`;
  return new Map(rows.map((row) => [row.site_id, row.input_hash]));
}

/** How many sites wait for a new score. */
export async function staleCount(tx: Sql, now: Instant): Promise<number> {
  const plan = await scorePlan(tx, { now, parameterVersion: PARAMETERS.version });
  return plan ? stalePlans(plan, await currentHashes(tx)).length : 0;
}

/**
 * Compute every stale score of the actor's account and store it, then the fleet's q-values and ranks. One process an
 * account at a time; a batch is stored whole or not at all, so ending midway loses nothing.
 * @returns how many sites were scored now
 */
export async function refreshScores(actor: Actor, options: RefreshOptions): Promise<{ scored: number }> {
  const db = await database();
  const connection = await db.sql.reserve();
  const key = scoreLockKey(actor.accountId);
  try {
    await connection`SELECT pg_advisory_lock(hashtextextended(${key}, 0))`;
    try {
      return await refreshLocked(db, systemActor(actor.accountId), options);
    } finally {
      await connection`SELECT pg_advisory_unlock(hashtextextended(${key}, 0))`;
    }
  } finally {
    connection.release();
  }
}

async function refreshLocked(db: Database, actor: Actor, options: RefreshOptions): Promise<{ scored: number }> {
  const { plan, stale, proposer } = await readTransaction(
    actor,
    async (tx) => {
      const whole = await scorePlan(tx, { now: options.now, parameterVersion: PARAMETERS.version });
      const stalest = whole ? stalePlans(whole, await currentHashes(tx)) : [];
      return { plan: whole, stale: stalest, proposer: await readProposer(tx) };
    },
    db,
  );
  if (!plan) return { scored: 0 };
  const cache = new StationCache();
  let scored = 0;
  for (const batch of batches(stale)) {
    if (options.signal?.aborted) break;
    const results = await scoreBatch(db, actor, plan, batch, cache, proposer);
    await writeTransaction(
      actor,
      async (tx) => {
        await writeScores(tx, results, plan.asOf, PARAMETERS.version);
        const detail = {
          sites: results.length,
          asOf: new Date(plan.asOf).toISOString(),
          parameters: PARAMETERS.version,
        };
        return {
          result: null,
          note: { action: "score.compute", subject: `${results[0]?.input.plan.siteId ?? ""} …`, detail },
        };
      },
      db,
    );
    scored += results.length;
    options.onProgress?.(scored, stale.length);
    // Let signals and other work through between batches.
    await new Promise((resolve) => setImmediate(resolve));
  }
  if (scored > 0) {
    await writeTransaction(
      actor,
      async (tx) => {
        await rankFleet(tx);
        return { result: null, note: { action: "score.rank", subject: "fleet", detail: { scored } } };
      },
      db,
    );
  }
  return { scored };
}

async function scoreBatch(
  db: Database,
  actor: Actor,
  plan: FleetPlan,
  batch: SitePlan[],
  cache: StationCache,
  proposer: Proposer,
) {
  const { read, booked } = await readTransaction(
    actor,
    async (tx) => ({
      read: await readBatch(tx, batch, plan.stations, cache),
      booked: await visitsOf(
        tx,
        batch.map((p) => p.siteId),
      ),
    }),
    db,
  );
  const fleet = { meanings: read.meanings, asOf: plan.asOf, parameters: PARAMETERS };
  return read.inputs.map((input) => {
    const site = scoreSite(input, fleet);
    const visits = booked.filter((v) => v.siteId === input.plan.siteId);
    return { input, site, standing: standingOf(input, site, visits, proposer, plan.asOf) };
  });
}

async function readProposer(tx: Sql): Promise<Proposer> {
  const [account] = await tx<{ currency: string }[]>`SELECT currency FROM account WHERE account_id = current_account()`;
  const rates = await tx<
    { currency: string; rate: number }[]
  >`SELECT currency, rate FROM account_rate WHERE account_id = current_account()`;
  return {
    crews: await crews(tx),
    accountCurrency: account?.currency ?? "USD",
    rates: new Map(rates.map((row) => [row.currency, row.rate])),
  };
}

/** Sites of one station together, so that its weather is read once. */
function batches(plans: SitePlan[]): SitePlan[][] {
  const station = (p: SitePlan) => (p.choice.kind === "station" ? p.choice.stationId : "");
  const sorted = [...plans].sort((a, b) =>
    station(a) < station(b) ? -1 : station(a) > station(b) ? 1 : a.siteId < b.siteId ? -1 : 1,
  );
  const out: SitePlan[][] = [];
  for (const plan of sorted) {
    const last = out.at(-1);
    if (last && last.length < BATCH && station(last[0] as SitePlan) === station(plan)) last.push(plan);
    else out.push([plan]);
  }
  return out;
}

/** Scores of the whole account from the records up to an instant, computed now and not stored. */
export async function scoresAsOf(actor: Actor, asOf: Instant): Promise<SiteScore[]> {
  const plan = await readTransaction(actor, (tx) =>
    scorePlan(tx, { now: asOf, asOf, parameterVersion: PARAMETERS.version }),
  );
  if (!plan) return [];
  const cache = new StationCache();
  const sites: ScoredSite[] = [];
  for (const batch of batches(plan.plans)) {
    const read = await readTransaction(actor, (tx) => readBatch(tx, batch, plan.stations, cache));
    const fleet = { meanings: read.meanings, asOf, parameters: PARAMETERS };
    sites.push(...read.inputs.map((input) => scoreSite(input, fleet)));
  }
  const q = benjaminiHochbergFleet(
    sites.map(({ score }) => ({
      siteId: score.site_id,
      pValue: score.weather.p_value,
      episodes: score.weather.wet_episodes + score.weather.dry_episodes,
    })),
  );
  return sites
    .map(({ score }) => ({ ...score, weather: { ...score.weather, q_value: q.get(score.site_id) ?? null } }))
    .sort((a, b) => (a.site_id < b.site_id ? -1 : 1));
}
