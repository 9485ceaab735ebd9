import { setImmediate as breath } from "node:timers/promises";
import type { Instant } from "../core/records.ts";
import type { ParameterTable } from "../diagnose/parameters.ts";
import type { Actor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { keepFilms } from "../store/films.ts";
import { currentParameters } from "../store/parameter-versions.ts";
import { noteMoved } from "../store/scoring-state.ts";
import { forgetChanges, snapshotNow } from "../store/site-changes.ts";
import { visitsOf } from "../store/site-records.ts";
import { type Sql, writeTransaction } from "../store/transaction.ts";
import { fixWatchesOf } from "./fix-watches.ts";
import { placeByThemselves } from "./place-sites.ts";
import { stripBegins } from "./rain-strip.ts";
import { type FleetPlan, type SitePlan, scorePlan } from "./score-plan.ts";
import { scoreSite } from "./score-site.ts";
import { claimSites, standingHashes, stillPlanned } from "./share-sites.ts";
import { readBatch, StationCache } from "./site-inputs.ts";
import {
  holdStandings,
  type Proposer,
  readProposer,
  type ScoreToStore,
  standingOf,
  writeScores,
} from "./write-scores.ts";

/** What all batches of a round are scored with. */
export interface Round {
  plan: FleetPlan;
  /** What it was planned from, as the server names it. */
  snapshot: string;
  /** Hash of each site's standing when the round was planned. */
  seen: ReadonlyMap<string, string>;
  cache: StationCache;
  proposer: Proposer;
  parameters: ParameterTable;
}

export interface BatchDone {
  /** How many sites were scored and stored here. */
  scored: number;
  /** Sites that this round need not look at again. */
  done: Set<string>;
  /** How many another process has in hand. */
  held: number;
  /** Something more urgent came up, and the rest was let go of. */
  stopped: boolean;
}

/**
 * Plan a round: what its sites are scored with, and which of them are stale.
 * @param siteIds only these; absent: the whole account
 * @returns null where there is nothing to score from
 */
export async function planRound(
  tx: Sql,
  now: Instant,
  siteIds?: string[],
): Promise<(Round & { stale: SitePlan[] }) | null> {
  const parameters = await currentParameters(tx);
  const plan = await scorePlan(tx, { now, parameterVersion: parameters.version, ...(siteIds ? { siteIds } : {}) });
  if (!plan) return null;
  const seen = await standingHashes(tx, siteIds);
  return {
    ...{ plan, parameters, seen, stale: stalePlans(plan, seen), snapshot: await snapshotNow(tx) },
    proposer: await readProposer(tx, parameters),
    cache: new StationCache({ depthsFrom: stripBegins(plan.asOf) }),
  };
}

/** Sites whose newest score was computed from something else than what is stored now. */
export function stalePlans(plan: FleetPlan, current: ReadonlyMap<string, string>): SitePlan[] {
  return plan.plans.filter((p) => current.get(p.siteId) !== p.inputHash);
}

/**
 * Take hold of sites, score those that nobody else has, and store them, in one transaction: nothing of it is left when its process
 * dies, and the sites are free for another at once.
 * @param how.isUrgent asked between sites; true: store what is scored, leave the rest
 * @param how.places give each site its place in the queue at once, in place of waiting for the fleet pass
 */
export async function scoreBatch(
  db: Database,
  actor: Actor,
  round: Round,
  plans: readonly SitePlan[],
  how: { isUrgent?: (tx: Sql) => Promise<boolean>; places?: boolean } = {},
): Promise<BatchDone> {
  const { plan, cache, parameters } = round;
  return writeTransaction(
    actor,
    async (tx) => {
      await tx`SET LOCAL idle_in_transaction_session_timeout = 0`;
      const { mine, done, held } = await claimSites(tx, plans, round.seen);
      const { results, left } = await scoreClaimed(tx, round, mine, how.isUrgent);
      const planned = await stillPlanned(
        tx,
        results.map((one) => one.input.plan),
      );
      // A score must be one of the records that it names. Those whose records moved are scored from the new ones, next.
      const whole = results.filter((one) => planned.has(one.input.plan.siteId));
      for (const { siteId } of mine) if (!left.has(siteId)) done.add(siteId);
      const out: BatchDone = { scored: whole.length, done, held, stopped: left.size > 0 };
      if (whole.length === 0) return { result: out, note: null };
      await holdStandings(tx, how.places === true);
      for (const films of cache.takeMade()) await keepFilms(tx, films);
      const ranks = await writeScores(tx, whole, plan.asOf, parameters.version);
      await forgetChanges(
        tx,
        whole.map((one) => one.input.plan),
      );
      if (how.places) await placeByThemselves(tx, ranks);
      await noteMoved(tx, whole.length);
      const detail = {
        sites: whole.length,
        asOf: new Date(plan.asOf).toISOString(),
        parameters: parameters.version,
      };
      return {
        result: out,
        note: { action: "score.compute", subject: `${whole[0]?.input.plan.siteId ?? ""} …`, detail },
      };
    },
    db,
  );
}

/** @returns scores, and the sites that were left for something more urgent */
async function scoreClaimed(
  tx: Sql,
  { plan, cache, proposer, parameters }: Round,
  mine: SitePlan[],
  isUrgent: ((tx: Sql) => Promise<boolean>) | undefined,
): Promise<{ results: ScoreToStore[]; left: Set<string> }> {
  if (mine.length === 0) return { results: [], left: new Set() };
  const read = await readBatch(tx, mine, plan.stations, cache);
  const booked = await visitsOf(
    tx,
    mine.map((p) => p.siteId),
  );
  const fleet = { meanings: read.meanings, asOf: plan.asOf, parameters };
  const results: ScoreToStore[] = [];
  for (const [i, input] of read.inputs.entries()) {
    if (i > 0) {
      // Let signals and other work through between sites.
      await breath();
      if (await isUrgent?.(tx)) return { results, left: new Set(read.inputs.slice(i).map((one) => one.plan.siteId)) };
    }
    const site = scoreSite(input, fleet);
    const visits = booked.filter((v) => v.siteId === input.plan.siteId);
    const standing = standingOf(input, site, visits, proposer, plan.asOf, parameters);
    standing.detail.fixes = fixWatchesOf(input, site, parameters, plan.asOf);
    results.push({ input, site, standing });
  }
  return { results, left: new Set() };
}
