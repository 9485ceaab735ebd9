import { packStrip } from "../core/packed-strip.ts";
import type { Crew, Instant, Visit } from "../core/records.ts";
import { HOUR_MS } from "../core/weather-series.ts";
import { lossParametersOf } from "../coverage/account-parameters.ts";
import type { LossParameters } from "../coverage/loss-parameters.ts";
import { nextTests } from "../diagnose/expected-information.ts";
import type { ParameterTable } from "../diagnose/parameters.ts";
import { DEFAULT_DISPATCH_PARAMETERS } from "../dispatch/dispatch-parameters.ts";
import { buildQueue, type QueuedVisit } from "../dispatch/queue.ts";
import type { ValueTerm } from "../dispatch/visit-value.ts";
import { leadingCause } from "../reads/answer-sentence.ts";
import type { QueueVisit } from "../reads/documents.ts";
import type { SiteDetail } from "../reads/site-detail.ts";
import { storedBasis } from "../store/learning-basis.ts";
import { writeOutcomes } from "../store/shared-outcomes.ts";
import { crews } from "../store/site-records.ts";
import type { Sql } from "../store/transaction.ts";
import { clockEvidenceOf } from "./clock-pass.ts";
import { rainStrip } from "./rain-strip.ts";
import { CODE_VERSION } from "./score-plan.ts";
import type { ScoredSite } from "./score-site.ts";
import type { SiteInput } from "./site-inputs.ts";

/** What a visit is weighed against, besides the site itself. */
export interface Proposer {
  crews: Crew[];
  accountCurrency: string;
  rates: Map<string, number>;
  /** The account's own loss model. */
  loss: LossParameters;
}

export interface Standing {
  urgency: "make_safe" | "urgent" | "planned" | "watch";
  expectedLoss: number | null;
  expectedLossAvoided: number | null;
  visitCost: number | null;
  proposal: {
    visit: Omit<QueueVisit, "rank"> | null;
    watch: { reason: string; would_change: string } | null;
    /** Every term of what the visit is worth, with its unit. */
    terms: ValueTerm[];
  };
  lastInspected: Instant | null;
  detail: SiteDetail;
  strip: ReturnType<typeof rainStrip>;
}

export interface ScoreToStore {
  input: SiteInput;
  site: ScoredSite;
  standing: Standing;
}

/** Most telling checks that a checklist takes up. */
const MOST_TESTS = 3;
/** Places of a kind that they are sought at: more would take longer than the score itself. */
const PLACES_TRIED = 1;

const URGENCY_ORDER = { make_safe: 0, urgent: 1, planned: 2, watch: 3 } as const;

/** Where a scored site stands by itself; its rank among others is the fleet pass's to give. */
export function standingOf(
  input: SiteInput,
  site: ScoredSite,
  visits: Visit[],
  proposer: Proposer,
  asOf: Instant,
  /** The table to choose the most telling checks by; null: they are left out. */
  parameters: ParameterTable | null = null,
): Standing {
  const { shared } = site;
  const { loss, ...account } = proposer;
  const params = { ...DEFAULT_DISPATCH_PARAMETERS, loss };
  const queue = buildQueue({
    ...{ sites: [site], visits, asOf, ...account, params },
    ...(parameters && {
      nextTests: ({ records, correlation }) =>
        nextTests({ records, correlation, asOf, shared }, parameters, MOST_TESTS, PLACES_TRIED).filter(
          (t) => t.bits > 1e-4,
        ),
    }),
  });
  const [visit] = queue.visits;
  const [watch] = queue.watch;
  const inspected = input.records.inspections.map((i) => i.inspectedAt.at).filter((at) => at <= asOf);
  const onsets = site.correlation.episodes.map((e) => e.onset);
  return {
    urgency: visit?.urgency ?? "watch",
    expectedLoss: visit?.expectedLoss ?? null,
    expectedLossAvoided: visit?.expectedLossAvoided ?? null,
    visitCost: visit?.visitCost ?? null,
    proposal: {
      visit: visit ? contractVisit(visit) : null,
      watch: watch ? { reason: watch.reason, would_change: watch.wouldChange } : null,
      terms: visit?.terms ?? watch?.terms ?? [],
    },
    lastInspected: inspected.length > 0 ? Math.max(...inspected) : null,
    detail: { ...detailOf(input, site), fixes: [], makeSafe: visit?.triggers ?? [] },
    strip: rainStrip(onsets, input.weather, input.records.site.timeZone, asOf),
  };
}

function contractVisit(visit: QueuedVisit): Omit<QueueVisit, "rank"> {
  return {
    visit_id: visit.visitId,
    site_id: visit.siteId,
    urgency: visit.urgency,
    expected_loss: visit.expectedLoss,
    expected_loss_avoided: visit.expectedLossAvoided,
    visit_cost: visit.visitCost,
    hours_on_site: visit.hoursOnSite,
    skills: visit.skills,
    reasons: visit.reasons,
    checklist: visit.checklist.map((item) => ({
      check: item.check,
      section_id: item.sectionId,
      inverter_id: item.inverterId,
      says: item.says,
      accept: item.accept,
      code_reference: item.codeReference,
      unit: item.unit,
      caution: item.caution,
      ...(item.forCoverage.length > 0 ? { source: "coverage" as const, for_coverage: item.forCoverage } : {}),
    })),
    ...(visit.stillOpen.length > 0
      ? {
          still_open: visit.stillOpen.map((item) => ({
            ...{ check: item.check, section_id: item.sectionId, inverter_id: item.inverterId, says: item.says },
            minutes: item.minutes,
          })),
        }
      : {}),
    ...(visit.beforeWork.length > 0 ? { before_work: visit.beforeWork } : {}),
  };
}

function detailOf(input: SiteInput, { correlation }: ScoredSite): Omit<SiteDetail, "fixes" | "makeSafe"> {
  const { choice } = input.plan;
  return {
    episodes: correlation.episodes.map((e) => ({
      onset: e.onset,
      end: e.end,
      inverterIds: e.inverterIds,
      rows: e.rows,
      state: e.state,
      atRisk: e.atRisk,
      clearedOnDrying: e.clearedOnDrying,
      hoursSinceRain: e.hoursSinceRain,
      censored: e.censored,
      wet: wetAt(input, e.onset),
    })),
    counts: correlation.counts,
    excludedUnitHours: correlation.excludedUnitHours,
    window: correlation.window,
    station: {
      stationId: choice.kind === "station" ? choice.stationId : null,
      name: input.station?.name ?? null,
      distanceKm: choice.kind === "station" ? choice.distanceKm : null,
      coverage: knownShare(input, correlation.window),
      says: [choice.says, ...helpSays(input)].join(" "),
      trusted: input.weather?.helpers.filter((h) => h.isTrusted).map((h) => h.stationId) ?? [],
    },
  };
}

/** What stations beside the first gave, in a sentence each. */
function helpSays({ plan: { choice }, weather }: SiteInput): string[] {
  if (choice.kind !== "station" || !weather) return [];
  const out = choice.helpers.flatMap((h) => {
    const help = weather.helpers.find((w) => w.stationId === h.stationId);
    if (!help) return [];
    const height =
      h.heightM === null ? "" : `, ${Math.abs(h.heightM).toFixed(0)} m ${h.heightM < 0 ? "lower" : "higher"}`;
    const where = `Station ${h.stationId} (${h.distanceKm.toFixed(0)} km away${height})`;
    if (help.kappa === null) return [`${where} shares too few hours with it to stand in.`];
    const agrees = `agrees with it on rain or none (kappa ${help.kappa.toFixed(2)})`;
    return [
      help.isTrusted
        ? `${where} ${agrees} and stands in where it is silent.`
        : `${where} ${agrees}, too little to stand in.`,
    ];
  });
  if (weather.filledHours > 0) out.push(`${weather.filledHours} hours came from another station.`);
  if (weather.contradictedHours > 0)
    out.push(`${weather.contradictedHours} hours that it called dry and both others measured rain in are unknown.`);
  return out;
}

function wetAt({ weather }: SiteInput, at: Instant): boolean | null {
  if (!weather) return null;
  const code = weather.wetness.wet[Math.ceil(at / HOUR_MS) - weather.wetness.firstHour];
  return code === 1 ? true : code === 0 ? false : null;
}

/** Share of the log window's hours whose precipitation was observed. */
function knownShare({ weather }: SiteInput, window: { from: Instant; to: Instant } | null): number | null {
  if (!weather || !window) return null;
  const { series } = weather;
  const first = Math.ceil(window.from / HOUR_MS) - series.firstHour;
  const last = Math.floor(window.to / HOUR_MS) - series.firstHour;
  let known = 0;
  for (let i = Math.max(0, first); i <= Math.min(last, series.hours - 1); i++)
    if (!Number.isNaN(series.precipitationMm[i] as number)) known++;
  return last >= first ? known / (last - first + 1) : null;
}

/**
 * Store a batch, a statement a table: the score is kept, the standing and the page's detail are the newest only.
 * @returns the rank that each site had before
 */
export async function writeScores(
  tx: Sql,
  batch: ScoreToStore[],
  asOf: Instant,
  parameterVersion: string,
): Promise<Map<string, number | null>> {
  if (batch.length === 0) return new Map();
  const [account] = await tx<{ id: number }[]>`SELECT current_account() AS id`;
  const inAccount = { account_id: account?.id ?? 0 };
  const at = new Date(asOf);
  const siteIds = batch.map(({ input }) => input.plan.siteId);
  const scores = batch.map((one) => ({ ...inAccount, ...scoreRow(tx, one, at, parameterVersion) }));
  await tx`
    INSERT INTO score ${tx(scores)}
    ON CONFLICT (account_id, site_id, input_hash) DO UPDATE SET as_of = excluded.as_of, computed_at = now(), result = excluded.result,
      learning_basis = excluded.learning_basis, urgency = excluded.urgency,
      bonding_p = excluded.bonding_p, bonding_low = excluded.bonding_low, bonding_high = excluded.bonding_high, energized_p = excluded.energized_p`;
  const details = batch.map(({ input: { plan }, standing }) => ({
    ...inAccount,
    site_id: plan.siteId,
    input_hash: plan.inputHash,
    detail: tx.json(standing.detail as never),
    open_fixes: standing.detail.fixes.filter((fix) => fix.state !== "held").length,
  }));
  await tx`
    INSERT INTO site_detail ${tx(details)}
    ON CONFLICT (account_id, site_id) DO UPDATE SET input_hash = excluded.input_hash, detail = excluded.detail,
      open_fixes = excluded.open_fixes`;
  await writeClockEvidence(tx, inAccount, batch, siteIds);
  await writeOutcomes(
    tx,
    batch.map(({ input }) => input.records),
  );
  const before = await takeStandings(tx, siteIds);
  const standings = batch.map((one) => {
    const row = standingRow(tx, one, at);
    const fleet = before.get(row.site_id) ?? NOT_RANKED;
    return { ...inAccount, ...row, ...fleet, rank: row.urgency === "watch" ? null : fleet.rank };
  });
  await tx`INSERT INTO standing ${tx(standings)}`;
  return new Map(siteIds.map((id) => [id, before.get(id)?.rank ?? null]));
}

function scoreRow(tx: Sql, { input: { plan }, site, standing }: ScoreToStore, at: Date, parameterVersion: string) {
  const { diagnosis, score } = site;
  const { bondingDefect: b, energizedMetal: e } = diagnosis;
  return {
    site_id: plan.siteId,
    input_hash: plan.inputHash,
    as_of: at,
    site_revision: plan.revision,
    station_id: standing.detail.station.stationId,
    station_version: plan.stationVersion,
    parameter_version: parameterVersion,
    code_version: CODE_VERSION,
    bonding_p: b.p,
    bonding_low: b.low,
    bonding_high: b.high,
    energized_p: e.p,
    urgency: standing.urgency,
    result: tx.json(score as never),
    learning_basis: diagnosis.basis ? tx.json(storedBasis(diagnosis.basis) as never) : null,
  };
}

function standingRow(tx: Sql, { input: { plan, records }, site, standing }: ScoreToStore, at: Date) {
  const { diagnosis, score, correlation } = site;
  const { bondingDefect: b, energizedMetal: e } = diagnosis;
  const leading = leadingCause(score);
  return {
    site_id: plan.siteId,
    input_hash: plan.inputHash,
    site_revision: plan.revision,
    as_of: at,
    name: records.site.name,
    portfolio: records.site.portfolio,
    bonding_p: b.p,
    bonding_low: b.low,
    bonding_high: b.high,
    energized_p: e.p,
    energized_low: e.low,
    energized_high: e.high,
    leading_cause: leading.cause,
    leading_p: leading.p,
    driver: score.weather.driver,
    rate_ratio: score.weather.rate_ratio,
    p_value: score.weather.p_value,
    ratio_grid: correlation.ratioGrid,
    wet_episodes: score.weather.wet_episodes,
    dry_episodes: score.weather.dry_episodes,
    last_inspected: standing.lastInspected === null ? null : new Date(standing.lastInspected),
    urgency: standing.urgency,
    urgency_order: URGENCY_ORDER[standing.urgency],
    expected_loss: standing.expectedLoss,
    expected_loss_avoided: standing.expectedLossAvoided,
    visit_cost: standing.visitCost,
    proposal: tx.json(standing.proposal as never),
    visit_id: standing.proposal.visit?.visit_id ?? null,
    strip: tx.json(packStrip(standing.strip)),
  };
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

/** Name of the lock under which standings are written. */
const standingsKey = (tx: Sql) => tx`hashtextextended('raintrip-standings/' || current_account(), 0)`;

/**
 * Come before writing standings: batches write beside each other, for their sites differ; whoever moves the places of others
 * writes alone. It holds until the transaction ends, and rows are locked in no order that could cross.
 */
export async function holdStandings(tx: Sql, alone: boolean): Promise<void> {
  if (alone) await tx`SELECT pg_advisory_xact_lock(${standingsKey(tx)})`;
  else await tx`SELECT pg_advisory_xact_lock_shared(${standingsKey(tx)})`;
}

interface FleetValues {
  rank: number | null;
  q_value: number | null;
  shrunk_log_ratio: number | null;
  no_effect_p: number | null;
  clock_offset_hours: number | null;
}

const NOT_RANKED: FleetValues = {
  rank: null,
  q_value: null,
  shrunk_log_ratio: null,
  no_effect_p: null,
  clock_offset_hours: null,
};

/** Take out standings; what the fleet gave a site stays with its next one until the fleet pass has run again. */
async function takeStandings(tx: Sql, siteIds: readonly string[]): Promise<Map<string, FleetValues>> {
  await keepChecklists(tx, siteIds);
  const rows = await tx<(FleetValues & { site_id: string })[]>`
    DELETE FROM standing WHERE account_id = current_account() AND site_id = ANY(${[...siteIds]})
    RETURNING site_id, rank, q_value, shrunk_log_ratio, no_effect_p, clock_offset_hours`;
  return new Map(rows.map(({ site_id, ...values }) => [site_id, values]));
}

/** A visit that somebody wrote something for leaves the queue, and its report still has to say what was asked of it. */
async function keepChecklists(tx: Sql, siteIds: readonly string[]): Promise<void> {
  await tx`
    INSERT INTO visit_checklist (account_id, visit_id, site_id, as_of, visit)
    SELECT account_id, proposal->'visit'->>'visit_id', site_id, as_of, proposal->'visit' FROM standing st
    WHERE account_id = current_account() AND site_id = ANY(${[...siteIds]}) AND proposal->'visit'->>'visit_id' IS NOT NULL
      AND EXISTS (SELECT 1 FROM visit_edit e
        WHERE e.account_id = st.account_id AND e.visit_id = st.proposal->'visit'->>'visit_id')
    ON CONFLICT (account_id, visit_id) DO NOTHING`;
}

async function writeClockEvidence(
  tx: Sql,
  inAccount: { account_id: number },
  batch: readonly ScoreToStore[],
  siteIds: readonly string[],
): Promise<void> {
  await tx`DELETE FROM clock_evidence WHERE account_id = current_account() AND site_id = ANY(${[...siteIds]})`;
  const rows = batch.flatMap(({ input, site }) =>
    clockEvidenceOf(site).map(({ source, evidence }) => ({
      ...inAccount,
      site_id: input.plan.siteId,
      source,
      evidence: tx.json(evidence as never),
    })),
  );
  if (rows.length > 0) await tx`INSERT INTO clock_evidence ${tx(rows)}`;
}
