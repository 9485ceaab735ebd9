import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { unpackStrip } from "../core/packed-strip.ts";
import { authorise, may } from "../core/permissions.ts";
import { scoreMoves } from "../diagnose/score-moves.ts";
import type { Actor } from "../store/actor.ts";
import { noteSeen } from "../store/seen.ts";
import { dataHorizon, siteRecords } from "../store/site-records.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { visitPhotos } from "../store/visit-log.ts";
import { newestHour } from "../store/weather.ts";
import { answerParts, leadingCause } from "./answer-sentence.ts";
import { photoView } from "./photo-view.ts";
import { storedScores } from "./score.ts";
import { SiteDetail } from "./site-detail.ts";
import type { SiteView } from "./site-view.ts";
import { Proposal, rankedRow, StandingRow, standingColumns, standingSource } from "./standing-rows.ts";

const SHOWN_EPISODES = 200;

const HistoryRow = z.object({
  as_of: z.date(),
  computed_at: z.date(),
  p: z.number(),
  low: z.number(),
  high: z.number(),
  input_hash: z.string(),
  parameter_version: z.string(),
  code_version: z.string(),
});
const KeptRow = z.object({
  input_hash: z.string(),
  evidence: z.array(z.object({ source: z.string(), decibans: z.number(), says: z.string() })),
});
const VersionRow = z.object({
  input_hash: z.string(),
  parameter_version: z.string(),
  code_version: z.string(),
  computed_at: z.date(),
  as_of: z.date(),
  proposal: Proposal,
  currency: z.string(),
});

/** Everything the page of a site shows; null when there is no such site or its first score is still being computed. */
export async function readSite(actor: Actor, siteId: string): Promise<SiteView | null> {
  authorise(actor, "sites.read");
  const view = await siteView(actor, siteId);
  if (view) await noteSeen(actor, "site.view", siteId);
  return view;
}

function siteView(actor: Actor, siteId: string): Promise<SiteView | null> {
  return readTransaction(actor, async (tx) => {
    const [score] = await storedScores(tx, siteId);
    const records = (await siteRecords(tx, [siteId], { logs: false })).get(siteId);
    const [standing] = z.array(StandingRow).parse([
      ...(await tx`SELECT ${standingColumns(tx)} FROM ${standingSource(tx)}
        WHERE st.account_id = current_account() AND st.site_id = ${siteId}`),
    ]);
    if (!score || !records || !standing) return null;
    const version = await versionOf(tx, siteId);
    const detail = await detailOf(tx, siteId);
    const row = rankedRow(standing);
    const horizon = await dataHorizon(tx, Date.now());
    const visit = version.proposal.visit && row.rank !== null ? { ...version.proposal.visit, rank: row.rank } : null;
    return {
      asOf: new Date(horizon ?? version.as_of.getTime()).toISOString(),
      site: records.site,
      urgency: row.urgency,
      answer: answerParts(score),
      score,
      leadingCause: leadingCause(score).cause,
      visit,
      watch: version.proposal.watch
        ? { reason: version.proposal.watch.reason, wouldChange: version.proposal.watch.would_change }
        : null,
      terms: may(actor, "plan.read") ? version.proposal.terms : [],
      currency: version.currency,
      strip: unpackStrip(row.strip),
      station: { ...detail.station, newestHour: await newestHourOf(tx, detail.station.stationId) },
      inverters: records.inverters,
      sections: records.sections,
      inspections: records.inspections.toReversed(),
      repairs: records.repairs.toReversed(),
      coverage: records.coverage,
      episodes: detail.episodes.slice(-SHOWN_EPISODES).reverse().map(shownEpisode),
      photos: (await visitPhotos(tx, { siteId })).map((photo) => ({ ...photoView(photo), visitId: photo.visitId })),
      episodesTotal: detail.episodes.length,
      faultRows: await faultRowsOf(tx, siteId),
      logCounts: detail.counts,
      excludedUnitHours: detail.excludedUnitHours,
      computedFrom: {
        inputHash: version.input_hash,
        parameterVersion: version.parameter_version,
        codeVersion: version.code_version,
        computedAt: version.computed_at.toISOString(),
      },
      history: await historyOf(tx, siteId),
    };
  });
}

async function faultRowsOf(tx: Sql, siteId: string): Promise<number> {
  const [row] = await tx<{ n: number }[]>`
    SELECT count(*)::int AS n FROM fault WHERE account_id = current_account() AND site_id = ${siteId}`;
  return row?.n ?? 0;
}

async function newestHourOf(tx: Sql, stationId: string | null): Promise<{ at: string; now: string } | null> {
  const at = stationId === null ? null : await newestHour(tx, stationId);
  return at === null ? null : { at: new Date(at).toISOString(), now: new Date().toISOString() };
}

function shownEpisode(e: SiteDetail["episodes"][number]): SiteView["episodes"][number] {
  return {
    onset: new Date(e.onset).toISOString(),
    end: e.end === null ? null : new Date(e.end).toISOString(),
    inverterIds: e.inverterIds,
    rows: e.rows,
    state: e.state,
    atRisk: e.atRisk,
    clearedOnDrying: e.clearedOnDrying,
    hoursSinceRain: e.hoursSinceRain,
    censored: e.censored,
  };
}

async function versionOf(tx: Sql, siteId: string): Promise<z.infer<typeof VersionRow>> {
  const [row] = await tx`
    SELECT sc.input_hash, sc.parameter_version, sc.code_version, sc.computed_at, sc.as_of, st.proposal, a.currency
    FROM standing st JOIN score sc USING (account_id, site_id, input_hash) JOIN account a USING (account_id)
    WHERE st.account_id = current_account() AND st.site_id = ${siteId}`;
  return VersionRow.parse(row);
}

/** @throws AppError `busy` while the site's first score is being computed */
export async function detailOf(tx: Sql, siteId: string): Promise<SiteDetail> {
  const [row] = await tx<
    { detail: unknown }[]
  >`SELECT detail FROM site_detail WHERE account_id = current_account() AND site_id = ${siteId}`;
  if (!row)
    throw new AppError("busy", { message: `The first score of ${siteId} is being computed. Look again in a minute.` });
  return SiteDetail.parse(row.detail);
}

const programOf = ({ parameter_version, code_version }: z.infer<typeof HistoryRow>) =>
  `${parameter_version} ${code_version}`;

/** Of how many of the newest scores it is told what moved them. */
const TOLD = 30;
const NAMED_MOVES = 4;

/** Every score that the site had, oldest first, the newest 400. */
async function historyOf(tx: Sql, siteId: string): Promise<SiteView["history"]> {
  const rows = await tx`
    SELECT as_of, computed_at, bonding_p AS p, bonding_low AS low, bonding_high AS high, input_hash,
      parameter_version, code_version FROM score
    WHERE account_id = current_account() AND site_id = ${siteId} ORDER BY computed_at DESC, input_hash LIMIT 400`;
  const points = z
    .array(HistoryRow)
    .parse([...rows])
    .reverse();
  const told = points.slice(-TOLD - 1).map((point) => point.input_hash);
  const kept = await tx`SELECT input_hash, result -> 'evidence' AS evidence FROM score
    WHERE account_id = current_account() AND site_id = ${siteId} AND input_hash = ANY(${told})`;
  const evidence = new Map(
    z
      .array(KeptRow)
      .parse([...kept])
      .map((row) => [row.input_hash, row.evidence]),
  );
  return points.map((point, i) => {
    const before = points[i - 1];
    const [was, is] = [before && evidence.get(before.input_hash), evidence.get(point.input_hash)];
    return {
      asOf: point.as_of.toISOString(),
      computedAt: point.computed_at.toISOString(),
      p: point.p,
      low: point.low,
      high: point.high,
      inputHash: point.input_hash,
      parameterVersion: point.parameter_version,
      codeVersion: point.code_version,
      moved:
        before && was && is
          ? { ...scoreMoves(was, is, NAMED_MOVES), program: programOf(before) !== programOf(point) }
          : null,
    };
  });
}
