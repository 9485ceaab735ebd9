import type { Instant } from "../core/records.ts";
import { lossParametersOf } from "../coverage/account-parameters.ts";
import type { ParameterTable } from "../diagnose/parameters.ts";
import type { SiteScore } from "../reads/documents.ts";
import { type Actor, systemActor } from "../store/actor.ts";
import { type Database, database } from "../store/database.ts";
import { keepFilms } from "../store/films.ts";
import { currentParameters } from "../store/parameter-versions.ts";
import { noteStale } from "../store/scoring-state.ts";
import { crews, visitsOf } from "../store/site-records.ts";
import { readTransaction, type Sql, writeTransaction } from "../store/transaction.ts";
import { clockEvidenceOf, pooledProposals } from "./clock-pass.ts";
import { fixWatchesOf } from "./fix-watches.ts";
import { benjaminiHochbergFleet, rankFleet } from "./fleet-pass.ts";
import { holdingLock } from "./hold-lock.ts";
import { scoreLockKey } from "./import-lock.ts";
import { keepLearned } from "./learning.ts";
import { type FleetPlan, type SitePlan, scorePlan } from "./score-plan.ts";
import { type ScoredSite, scoreSite } from "./score-site.ts";
import { readBatch, StationCache } from "./site-inputs.ts";
import { type Proposer, standingOf, writeScores } from "./write-scores.ts";

/** Sites read at once: few enough that even noisy logs fit in memory together. */
const BATCH = 16;

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

async function currentHashes(tx: Sql, siteIds?: string[]): Promise<Map<string, string>> {
  const rows = await tx<{ site_id: string; input_hash: string }[]>`
    SELECT site_id, input_hash FROM standing WHERE account_id = current_account()
      ${siteIds ? tx`AND site_id = ANY(${siteIds})` : tx``}`;
  return new Map(rows.map((row) => [row.site_id, row.input_hash]));
}

/**
 * How many sites wait for a new score, or for the fleet pass to take their new score in.
 * @param siteIds only these are looked at
 */
export async function staleCount(tx: Sql, now: Instant, siteIds?: string[]): Promise<number> {
  const { version } = await currentParameters(tx);
  const plan = await scorePlan(tx, { now, parameterVersion: version, ...(siteIds ? { siteIds } : {}) });
  if (!plan) return 0;
  return Math.max(stalePlans(plan, await currentHashes(tx, siteIds)).length, await unrankedCount(tx));
}

async function unrankedCount(tx: Sql): Promise<number> {
  const [row] = await tx<
    { n: number }[]
  >`SELECT count(*)::int AS n FROM standing WHERE account_id = current_account() AND NOT ranked`;
  return row?.n ?? 0;
}

/**
 * Compute every stale score of the actor's account and store it, then the fleet's q-values and ranks. One process an
 * account at a time; a batch is stored whole or not at all, so ending midway loses nothing.
 * @returns how many sites were scored now
 */
export async function refreshScores(actor: Actor, options: RefreshOptions): Promise<{ scored: number }> {
  const db = await database();
  const done = await holdingLock(db, scoreLockKey(actor.accountId), { waits: true }, () =>
    refreshLocked(db, systemActor(actor.accountId), options),
  );
  return done ?? { scored: 0 };
}

/** Sites whose own records changed since they were scored, some of them. */
async function changedSites(tx: Sql): Promise<string[]> {
  const rows = await tx<{ site_id: string }[]>`
    SELECT s.site_id FROM site s JOIN standing st USING (account_id, site_id)
    WHERE s.account_id = current_account() AND st.site_revision < s.revision ORDER BY s.site_id LIMIT ${MOST_FIRST}`;
  return rows.map((row) => row.site_id);
}

/** More changed sites than this are a matter for the whole round. */
const MOST_FIRST = 64;
/** While a long round runs, sites whose records changed are looked for this often. */
const LOOK_EVERY_MS = 2000;

/** What a visit found at one site bears on others of its installer, which a second round takes in; a third is room. */
const MOST_ROUNDS = 3;

async function refreshLocked(db: Database, actor: Actor, options: RefreshOptions): Promise<{ scored: number }> {
  let scored = 0;
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const now = (await refreshOnce(db, actor, options)).scored;
    scored += now;
    if (now === 0 || options.signal?.aborted) break;
  }
  return { scored };
}

/** Score the sites whose own records changed: somebody may be waiting to see what a new record does. */
async function refreshChanged(db: Database, actor: Actor, options: RefreshOptions): Promise<number> {
  const round = await readTransaction(
    actor,
    async (tx) => {
      const siteIds = await changedSites(tx);
      if (siteIds.length === 0) return null;
      const parameters = await currentParameters(tx);
      const plan = await scorePlan(tx, { now: options.now, parameterVersion: parameters.version, siteIds });
      if (!plan) return null;
      const stale = stalePlans(plan, await currentHashes(tx, siteIds));
      return { plan, stale, parameters, proposer: await readProposer(tx, parameters) };
    },
    db,
  );
  if (!round) return 0;
  const { plan, stale, parameters, proposer } = round;
  return scoreAll(db, actor, { plan, proposer, parameters, cache: new StationCache() }, stale, options);
}

async function refreshOnce(db: Database, actor: Actor, options: RefreshOptions): Promise<{ scored: number }> {
  let scored = await refreshChanged(db, actor, options);
  const { plan, stale, proposer, parameters } = await readTransaction(
    actor,
    async (tx) => {
      const table = await currentParameters(tx);
      const whole = await scorePlan(tx, { now: options.now, parameterVersion: table.version });
      const stalest = whole ? stalePlans(whole, await currentHashes(tx)) : [];
      return { plan: whole, stale: stalest, proposer: await readProposer(tx, table), parameters: table };
    },
    db,
  );
  if (!plan) return { scored };
  const round = { plan, proposer, parameters, cache: new StationCache() };
  let looked = performance.now();
  scored += await scoreAll(db, actor, round, stale, options, async () => {
    if (performance.now() - looked < LOOK_EVERY_MS) return;
    looked = performance.now();
    scored += await refreshChanged(db, actor, { ...options, onProgress: () => {} });
  });
  // A process that was killed between its last batch and the fleet pass left rows that only this makes whole.
  if (scored > 0 || (await readTransaction(actor, unrankedCount, db)) > 0) {
    await writeTransaction(
      actor,
      async (tx) => {
        await rankFleet(tx);
        await keepLearned(tx);
        await noteStale(tx, 0);
        return { result: null, note: { action: "score.rank", subject: "fleet", detail: { scored } } };
      },
      db,
    );
  }
  return { scored };
}

/**
 * Score batch after batch; each is stored whole or not at all.
 * @param between runs between batches of a round over the whole account, which also keeps count of what waits
 * @returns how many sites were scored
 */
async function scoreAll(
  db: Database,
  actor: Actor,
  round: Round,
  stale: SitePlan[],
  options: RefreshOptions,
  between?: () => Promise<void>,
): Promise<number> {
  const { plan, cache, parameters } = round;
  let scored = 0;
  for (const batch of batches(stale)) {
    if (options.signal?.aborted) break;
    const results = await scoreBatch(db, actor, round, batch);
    const left = stale.length - scored - results.length;
    await writeTransaction(
      actor,
      async (tx) => {
        for (const films of cache.takeMade()) await keepFilms(tx, films);
        await writeScores(tx, results, plan.asOf, parameters.version);
        if (between) await noteStale(tx, left);
        const detail = {
          sites: results.length,
          asOf: new Date(plan.asOf).toISOString(),
          parameters: parameters.version,
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
    await between?.();
    // Let signals and other work through between batches.
    await new Promise((resolve) => setImmediate(resolve));
  }
  return scored;
}

interface Round {
  plan: FleetPlan;
  cache: StationCache;
  proposer: Proposer;
  parameters: ParameterTable;
}

async function scoreBatch(db: Database, actor: Actor, { plan, cache, proposer, parameters }: Round, batch: SitePlan[]) {
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
  const fleet = { meanings: read.meanings, asOf: plan.asOf, parameters };
  return read.inputs.map((input) => {
    const site = scoreSite(input, fleet);
    const visits = booked.filter((v) => v.siteId === input.plan.siteId);
    const standing = standingOf(input, site, visits, proposer, plan.asOf, parameters);
    standing.detail.fixes = fixWatchesOf(input, site, parameters, plan.asOf);
    return { input, site, standing };
  });
}

/** What the account sets a visit's worth against. */
export async function readProposer(tx: Sql, parameters: ParameterTable): Promise<Proposer> {
  const [account] = await tx<{ currency: string }[]>`SELECT currency FROM account WHERE account_id = current_account()`;
  const rates = await tx<
    { currency: string; rate: number }[]
  >`SELECT currency, rate FROM account_rate WHERE account_id = current_account()`;
  return {
    crews: await crews(tx),
    accountCurrency: account?.currency ?? "USD",
    rates: new Map(rates.map((row) => [row.currency, row.rate])),
    loss: lossParametersOf(parameters),
  };
}

/** Sites of the same stations one after the other, so that their weather is read once; a batch may go over several. */
export function batches(plans: SitePlan[]): SitePlan[][] {
  const station = ({ choice }: SitePlan) =>
    choice.kind === "station" ? [choice.stationId, ...choice.helpers.map((h) => h.stationId)].join() : "";
  const sorted = [...plans].sort((a, b) =>
    station(a) < station(b) ? -1 : station(a) > station(b) ? 1 : a.siteId < b.siteId ? -1 : 1,
  );
  const out: SitePlan[][] = [];
  for (const plan of sorted) {
    const last = out.at(-1);
    if (last && last.length < BATCH) last.push(plan);
    else out.push([plan]);
  }
  return out;
}

/** Scores of the whole account from the records up to an instant, computed now and not stored. */
export async function scoresAsOf(actor: Actor, asOf: Instant): Promise<SiteScore[]> {
  const { plan, parameters } = await readTransaction(actor, async (tx) => {
    const table = await currentParameters(tx);
    return { plan: await scorePlan(tx, { now: asOf, asOf, parameterVersion: table.version }), parameters: table };
  });
  if (!plan) return [];
  const cache = new StationCache();
  const sites: ScoredSite[] = [];
  for (const batch of batches(plan.plans)) {
    const read = await readTransaction(actor, (tx) => readBatch(tx, batch, plan.stations, cache));
    const fleet = { meanings: read.meanings, asOf, parameters };
    sites.push(...read.inputs.map((input) => scoreSite(input, fleet)));
  }
  const q = benjaminiHochbergFleet(
    sites.map(({ score }) => ({
      siteId: score.site_id,
      pValue: score.weather.p_value,
      episodes: score.weather.wet_episodes + score.weather.dry_episodes,
    })),
  );
  const clocks = pooledProposals(sites);
  const hoursOf = (site: ScoredSite) =>
    clockEvidenceOf(site)
      .map((e) => e.source)
      .sort()
      .flatMap((source) => clocks.get(source) ?? [])[0] ?? null;
  return sites
    .map((site) => ({
      ...site.score,
      weather: {
        ...site.score.weather,
        q_value: q.get(site.score.site_id) ?? null,
        clock_offset_hours: hoursOf(site),
      },
    }))
    .sort((a, b) => (a.site_id < b.site_id ? -1 : 1));
}
