import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { scoresAsOf } from "../jobs/scores-as-of.ts";
import { type Actor, systemActor } from "../store/actor.ts";
import { noteSeen } from "../store/seen.ts";
import { dataHorizon } from "../store/site-records.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { type ScoreDocument, SiteScore } from "./documents.ts";
import { QueryTime } from "./query-time.ts";
import { whenFresh } from "./when-fresh.ts";

export const ScoreQuery = z.object({ site: z.string().optional(), "as-of": QueryTime.optional() });
export type ScoreQuery = z.infer<typeof ScoreQuery>;

const ScoreRow = z.object({ result: SiteScore, q_value: z.number().nullable(), clock: z.number().nullable() });

/** Stored scores with what the fleet gives: q-values and proposals for clocks. */
export async function storedScores(tx: Sql, siteId?: string): Promise<SiteScore[]> {
  const rows = await tx`
    SELECT sc.result, st.q_value, st.clock_offset_hours AS clock FROM standing st JOIN score sc USING (account_id, site_id, input_hash)
    WHERE st.account_id = current_account() ${siteId === undefined ? tx`` : tx`AND st.site_id = ${siteId}`} ORDER BY st.site_id`;
  return z
    .array(ScoreRow)
    .parse([...rows])
    .map(({ result, q_value, clock }) => ({
      ...result,
      weather: { ...result.weather, q_value, clock_offset_hours: clock },
    }));
}

/**
 * The score document: as stored, or with `as-of` computed now from the records up to that time and not stored.
 * @throws AppError `not_found` for an unknown site
 */
export async function readScore(actor: Actor, query: ScoreQuery): Promise<ScoreDocument> {
  authorise(actor, "score.read");
  const now = Date.now();
  const asOf = query["as-of"];
  if (query.site !== undefined) await assertSite(actor, query.site);
  if (asOf !== undefined) {
    // What the fleet taught goes into every score: it is computed from all of it, and the asker gets their own part.
    const scores = await scoresAsOf(systemActor(actor.accountId), Math.min(asOf, now));
    const own = await readTransaction(actor, (tx) => tx<{ site_id: string }[]>`SELECT site_id FROM site`);
    const seen = new Set(own.map((row) => row.site_id));
    return {
      as_of: new Date(Math.min(asOf, now)).toISOString(),
      sites: scores.filter((s) => seen.has(s.site_id) && (query.site === undefined || s.site_id === query.site)),
    };
  }
  return readTransaction(actor, async (tx) => {
    const horizon = await dataHorizon(tx, now);
    return {
      as_of: horizon === null ? null : new Date(horizon).toISOString(),
      sites: await storedScores(tx, query.site),
    };
  });
}

async function assertSite(actor: Actor, siteId: string): Promise<void> {
  const found = await readTransaction(
    actor,
    (tx) => tx`SELECT 1 FROM site WHERE account_id = current_account() AND site_id = ${siteId}`,
  );
  if (found.length === 0) throw new AppError("not_found", { message: `There is no site "${siteId}".` });
}

/** The same over HTTP: waits for the worker to bring the stored scores up to date. */
export async function readScoreWhenFresh(actor: Actor, query: ScoreQuery): Promise<ScoreDocument> {
  authorise(actor, "score.read");
  if (query["as-of"] === undefined) await whenFresh(actor, query.site);
  await noteSeen(actor, "score.export", query.site ?? "all sites");
  return readScore(actor, query);
}
