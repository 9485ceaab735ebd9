import { createHash } from "node:crypto";
import { setImmediate as breath } from "node:timers/promises";
import type { Instant, Station } from "../core/records.ts";
import { type ClockCorrection, clockSource } from "../correlate/correct-clock.ts";
import type { VisitOutcome } from "../diagnose/learning.ts";
import type { SharedGroup } from "../diagnose/shared-effect.ts";
import { clockCorrections } from "../store/clock.ts";
import { isolationSpans } from "../store/make-safe.ts";
import { sharedOutcomes } from "../store/shared-outcomes.ts";
import { dataHorizon } from "../store/site-records.ts";
import type { Sql } from "../store/transaction.ts";
import type { StationChoice } from "../weather/station-choice.ts";
import { chosenStations } from "./plan-stations.ts";

/** Raised whenever code changes what a score would be from the same records. */
export const CODE_VERSION = "15";

/** Sites planned in one go. */
const BREATH = 250;

/** What one site's score is computed from, besides its own records. */
export interface SitePlan {
  siteId: string;
  revision: number;
  choice: StationChoice;
  stationVersion: number | null;
  /** First and last row of the log that each inverter belongs to: the fallback where no telemetry tells. */
  logWindows: Map<string, { from: Instant; to: Instant }>;
  /** Accepted corrections of the clocks that stamped its log, by log source. */
  clock: Map<string, ClockCorrection>;
  /** Confirmed visits of other sites that share its installer or hardware. */
  shared: SharedGroup[];
  inputHash: string;
}

export interface FleetPlan {
  asOf: Instant;
  plans: SitePlan[];
  stations: Map<string, Station & { version: number }>;
}

interface SiteLine {
  site_id: string;
  portfolio: string;
  latitude: number;
  longitude: number;
  station_id: string | null;
  installer: string | null;
  revision: number;
}

/**
 * For every site of the account, what its score would be computed from now.
 * @returns null when nothing was imported yet
 */
export async function scorePlan(
  tx: Sql,
  options: { now: Instant; asOf?: Instant; parameterVersion: string; siteIds?: string[] },
): Promise<FleetPlan | null> {
  const asOf = options.asOf ?? (await dataHorizon(tx, options.now)) ?? null;
  const sites = await tx<SiteLine[]>`
    SELECT site_id, portfolio, latitude, longitude, station_id, installer, revision::float8 AS revision FROM site
    WHERE account_id = current_account() ${options.siteIds ? tx`AND site_id = ANY(${options.siteIds})` : tx``} ORDER BY site_id`;
  if (sites.length === 0) return null;
  // Sites without any log or weather yet still get a score from what is recorded of them.
  const at = asOf ?? options.now;
  const { known, choices } = await chosenStations(tx, sites, options.siteIds === undefined);
  const windows = await logWindows(tx, at, options.siteIds);
  const clocks = await siteClocks(tx, options.siteIds);
  const context = await fleetContext(tx);
  const sharedOf = await sharedGroups(tx, at, options.siteIds);
  const isolated = await isolationSpans(
    tx,
    sites.map((site) => site.site_id),
  );
  const plans: SitePlan[] = [];
  for (const [place, site] of sites.entries()) {
    // Other work of this process goes on between the sites of a large account.
    if (place % BREATH === BREATH - 1) await breath();
    const { groups: shared, digest: sharedDigest } = sharedOf(site);
    const choice = choices[place] as StationChoice;
    const stationVersion = choice.kind === "station" ? (known.get(choice.stationId)?.version ?? null) : null;
    const own = windows.get(site.site_id) ?? new Map();
    const clock = clocks.get(site.site_id) ?? new Map();
    const parts = [
      site.revision,
      choice.kind === "station" ? `${choice.stationId}@${stationVersion}` : "none",
      choice.kind === "station"
        ? choice.helpers.map((h) => `${h.stationId}@${known.get(h.stationId)?.version ?? null}`).join()
        : "",
      [...clock].map(([source, c]) => `${source}:${c.offsetHours}/${c.summerHours}/${c.scanHours.join()}`).join(),
      // By the day too: every new row of a log would else ask for a new score of every site that shares it.
      [...own].map(([id, w]) => `${id}:${w.from}-${Math.floor(w.to / 86_400_000)}`).join(","),
      // A score moves with its day even when no record does: ages and deadlines count in days.
      Math.floor(at / 86_400_000),
      options.parameterVersion,
      CODE_VERSION,
      context,
      ...(shared.length > 0 ? [sharedDigest] : []),
      ...(isolated.has(site.site_id) ? [`isolated ${JSON.stringify(isolated.get(site.site_id))}`] : []),
    ];
    const inputHash = createHash("sha256").update(JSON.stringify(parts)).digest("hex").slice(0, 32);
    plans.push({
      siteId: site.site_id,
      revision: site.revision,
      choice,
      stationVersion,
      logWindows: own,
      clock,
      shared,
      inputHash,
    });
  }
  return { asOf: at, plans, stations: known };
}

/** The logs that sites have part in: named ones, and those of their books for inverters that name none. */
async function sourcesOf(tx: Sql, siteIds: string[]): Promise<{ logs: string[]; portfolios: string[] }> {
  const rows = await tx<{ log_source: string | null; portfolio: string }[]>`
    SELECT DISTINCT i.log_source, s.portfolio FROM inverter i JOIN site s USING (account_id, site_id)
    WHERE i.account_id = current_account() AND i.site_id = ANY(${siteIds}) AND s.site_id = ANY(${siteIds})`;
  return {
    logs: [...new Set(rows.flatMap((row) => row.log_source ?? []))],
    portfolios: [...new Set(rows.flatMap((row) => (row.log_source === null ? row.portfolio : [])))],
  };
}

/**
 * The span over which each inverter's log says anything: first to last row of any inverter of its log source, else
 * of its portfolio. Rows after `asOf` are not used.
 * @returns by site, by inverter
 */
async function logWindows(
  tx: Sql,
  asOf: Instant,
  siteIds?: string[],
): Promise<Map<string, Map<string, { from: Instant; to: Instant }>>> {
  const source = siteIds ? await sourcesOf(tx, siteIds) : null;
  // Which logs the sites have part in; each is read whole, whatever sites are asked for.
  const members = source
    ? tx`SELECT i.site_id, i.inverter_id, 'l/' || i.log_source AS name FROM inverter i
        WHERE i.account_id = current_account() AND i.log_source = ANY(${source.logs})
      UNION ALL SELECT i.site_id, i.inverter_id, 'p/' || s.portfolio FROM site s JOIN inverter i USING (account_id, site_id)
        WHERE s.account_id = current_account() AND s.portfolio = ANY(${source.portfolios}) AND i.log_source IS NULL`
    : tx`SELECT i.site_id, i.inverter_id, CASE WHEN i.log_source IS NULL THEN 'p/' || s.portfolio ELSE 'l/' || i.log_source END AS name
      FROM inverter i JOIN site s USING (account_id, site_id) WHERE i.account_id = current_account()`;
  const rows = await tx<{ site_id: string; inverter_id: string; from: Date | null; to: Date | null }[]>`
    WITH source AS (${members}), span AS (
      SELECT name, min(l.first_row) AS first_row, max(l.last_row) AS last_row
      FROM source JOIN inverter_log l USING (site_id, inverter_id)
      WHERE l.account_id = current_account() AND l.first_row <= ${new Date(asOf)} GROUP BY name
    )
    SELECT source.site_id, source.inverter_id, span.first_row AS "from", least(span.last_row, ${new Date(asOf)}) AS "to"
    FROM source JOIN span USING (name) ${siteIds ? tx`WHERE source.site_id = ANY(${siteIds})` : tx``} ORDER BY source.site_id, source.inverter_id`;
  const out = new Map<string, Map<string, { from: Instant; to: Instant }>>();
  for (const row of rows) {
    if (!row.from || !row.to) continue;
    let own = out.get(row.site_id);
    if (!own) {
      own = new Map();
      out.set(row.site_id, own);
    }
    own.set(row.inverter_id, { from: row.from.getTime(), to: row.to.getTime() });
  }
  return out;
}

interface SharedDigest {
  groups: SharedGroup[];
  /** Of the groups, for the hash of the site's inputs. */
  digest: string;
}

const NOTHING_SHARED: SharedDigest = { groups: [], digest: "" };

/** Outcomes of one installer or batch, with a digest that is worked out once, not once a site. */
class OutcomeGroup {
  readonly #all: VisitOutcome[] = [];
  readonly #sites = new Set<string>();
  #whole: { outcomes: readonly VisitOutcome[]; digest: string } | null = null;

  put(outcome: VisitOutcome): void {
    this.#all.push(outcome);
    this.#sites.add(outcome.siteId);
  }

  /** Those of other sites than the one named. */
  without(siteId: string): { outcomes: readonly VisitOutcome[]; digest: string } {
    if (this.#sites.has(siteId)) return digested(this.#all.filter((o) => o.siteId !== siteId));
    this.#whole ??= digested(this.#all);
    return this.#whole;
  }
}

const digested = (outcomes: readonly VisitOutcome[]) => ({
  outcomes,
  digest: createHash("sha256").update(JSON.stringify(outcomes)).digest("hex"),
});

/** What confirmed visits of other sites say of a site's installer and hardware batches; no visit after `asOf` counts. */
async function sharedGroups(
  tx: Sql,
  asOf: Instant,
  siteIds?: readonly string[],
): Promise<(site: SiteLine) => SharedDigest> {
  const { outcomes, batchesOf } = await sharedOutcomes(tx, asOf, siteIds);
  if (outcomes.length === 0) return () => NOTHING_SHARED;
  const groups = new Map<string, OutcomeGroup>();
  const put = (key: string, outcome: VisitOutcome) => {
    const group = groups.get(key) ?? new OutcomeGroup();
    groups.set(key, group);
    group.put(outcome);
  };
  for (const { installer, ...outcome } of outcomes) {
    if (installer !== null) put(`installer/${installer}`, outcome);
    for (const batch of batchesOf.get(outcome.siteId) ?? []) put(`batch/${batch}`, outcome);
  }
  return ({ site_id: id, installer }) => {
    const names: [SharedGroup["kind"], string][] = (batchesOf.get(id) ?? []).map((batch) => ["batch", batch]);
    if (installer !== null) names.unshift(["installer", installer]);
    const found = names.flatMap(([kind, name]) => {
      const others = groups.get(`${kind}/${name}`)?.without(id);
      return others && others.outcomes.length > 0 ? [{ kind, name, ...others }] : [];
    });
    return {
      groups: found.map(({ digest: _, ...group }) => group),
      digest: JSON.stringify(found.map(({ kind, name, digest }) => [kind, name, digest])),
    };
  };
}

/** Accepted clock corrections that concern each site, in the order of their sources. */
async function siteClocks(tx: Sql, siteIds?: string[]): Promise<Map<string, Map<string, ClockCorrection>>> {
  const corrections = await clockCorrections(tx);
  const out = new Map<string, Map<string, ClockCorrection>>();
  if (corrections.size === 0) return out;
  const rows = await tx<{ site_id: string; log_source: string | null }[]>`
    SELECT DISTINCT site_id, log_source FROM inverter WHERE account_id = current_account()
      ${siteIds ? tx`AND site_id = ANY(${siteIds})` : tx``} ORDER BY site_id, log_source`;
  for (const row of rows) {
    const source = clockSource(row.site_id, row.log_source);
    const correction = corrections.get(source);
    if (correction) out.set(row.site_id, (out.get(row.site_id) ?? new Map()).set(source, correction));
  }
  return out;
}

/** A digest of what bears on every site of the account: vocabularies, crews and money. */
async function fleetContext(tx: Sql): Promise<string> {
  const [row] = await tx<{ digest: string }[]>`
    SELECT md5(concat(
      (SELECT coalesce(jsonb_agg(to_jsonb(c) ORDER BY code_system, code), '[]')::text FROM code_meaning c WHERE account_id = current_account()),
      (SELECT coalesce(jsonb_agg(to_jsonb(c) ORDER BY crew_id), '[]')::text FROM crew c WHERE account_id = current_account()),
      (SELECT coalesce(jsonb_agg(to_jsonb(r) ORDER BY currency), '[]')::text FROM account_rate r WHERE account_id = current_account()),
      (SELECT currency FROM account WHERE account_id = current_account()))) AS digest`;
  return row?.digest ?? "";
}
