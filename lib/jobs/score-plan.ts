import { createHash } from "node:crypto";
import type { Instant, Station } from "../core/records.ts";
import { type ClockCorrection, clockSource } from "../correlate/correct-clock.ts";
import type { SharedGroup } from "../diagnose/shared-effect.ts";
import { clockCorrections } from "../store/clock.ts";
import { isolationSpans } from "../store/make-safe.ts";
import { sharedOutcomes } from "../store/shared-outcomes.ts";
import { dataHorizon, stations } from "../store/site-records.ts";
import type { Sql } from "../store/transaction.ts";
import { chooseStation, type StationChoice } from "../weather/station-choice.ts";

/** Raised whenever code changes what a score would be from the same records. */
export const CODE_VERSION = "12";

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
  const known = await stations(tx);
  const list = [...known.values()];
  const windows = await logWindows(tx, at);
  const clocks = await siteClocks(tx);
  const context = await fleetContext(tx);
  const sharedOf = await sharedGroups(tx, at);
  const isolated = await isolationSpans(
    tx,
    sites.map((site) => site.site_id),
  );
  const plans = sites.map((site) => {
    const shared = sharedOf(site);
    const choice = chooseStation(
      { latitude: site.latitude, longitude: site.longitude, stationId: site.station_id },
      list,
    );
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
      [...own].map(([id, w]) => `${id}:${w.from}-${w.to}`).join(","),
      // A score moves with its day even when no record does: ages and deadlines count in days.
      Math.floor(at / 86_400_000),
      options.parameterVersion,
      CODE_VERSION,
      context,
      ...(shared.length > 0 ? [JSON.stringify(shared)] : []),
      ...(isolated.has(site.site_id) ? [`isolated ${JSON.stringify(isolated.get(site.site_id))}`] : []),
    ];
    const inputHash = createHash("sha256").update(JSON.stringify(parts)).digest("hex").slice(0, 32);
    return {
      siteId: site.site_id,
      revision: site.revision,
      choice,
      stationVersion,
      logWindows: own,
      clock,
      shared,
      inputHash,
    };
  });
  return { asOf: at, plans, stations: known };
}

/**
 * The span over which each inverter's log says anything: first to last row of any inverter of its log source, else
 * of its portfolio. Rows after `asOf` are not used.
 * @returns by site, by inverter
 */
async function logWindows(tx: Sql, asOf: Instant): Promise<Map<string, Map<string, { from: Instant; to: Instant }>>> {
  const rows = await tx<{ site_id: string; inverter_id: string; from: Date | null; to: Date | null }[]>`
    WITH source AS (
      SELECT i.site_id, i.inverter_id, CASE WHEN i.log_source IS NULL THEN 'p/' || s.portfolio ELSE 'l/' || i.log_source END AS name
      FROM inverter i JOIN site s USING (account_id, site_id) WHERE i.account_id = current_account()
    ), span AS (
      SELECT name, min(l.first_row) AS first_row, max(l.last_row) AS last_row
      FROM source JOIN inverter_log l USING (site_id, inverter_id)
      WHERE l.account_id = current_account() AND l.first_row <= ${new Date(asOf)} GROUP BY name
    )
    SELECT source.site_id, source.inverter_id, span.first_row AS "from", least(span.last_row, ${new Date(asOf)}) AS "to"
    FROM source JOIN span USING (name) ORDER BY source.site_id, source.inverter_id`;
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

/** What confirmed visits of other sites say of a site's installer and hardware batches; no visit after `asOf` counts. */
async function sharedGroups(tx: Sql, asOf: Instant): Promise<(site: SiteLine) => SharedGroup[]> {
  const { outcomes, batchesOf } = await sharedOutcomes(tx, asOf);
  if (outcomes.length === 0) return () => [];
  const groups = new Map<string, typeof outcomes>();
  const put = (key: string, outcome: (typeof outcomes)[number]) => {
    const list = groups.get(key);
    if (list) list.push(outcome);
    else groups.set(key, [outcome]);
  };
  for (const outcome of outcomes) {
    if (outcome.installer !== null) put(`installer/${outcome.installer}`, outcome);
    for (const batch of batchesOf.get(outcome.siteId) ?? []) put(`batch/${batch}`, outcome);
  }
  const group = (kind: SharedGroup["kind"], name: string, siteId: string): SharedGroup[] => {
    const others = (groups.get(`${kind}/${name}`) ?? []).filter((o) => o.siteId !== siteId);
    return others.length === 0 ? [] : [{ kind, name, outcomes: others.map(({ installer: _, ...outcome }) => outcome) }];
  };
  return ({ site_id: id, installer }) => [
    ...(installer === null ? [] : group("installer", installer, id)),
    ...(batchesOf.get(id) ?? []).flatMap((batch) => group("batch", batch, id)),
  ];
}

/** Accepted clock corrections that concern each site, in the order of their sources. */
async function siteClocks(tx: Sql): Promise<Map<string, Map<string, ClockCorrection>>> {
  const corrections = await clockCorrections(tx);
  const out = new Map<string, Map<string, ClockCorrection>>();
  if (corrections.size === 0) return out;
  const rows = await tx<{ site_id: string; log_source: string | null }[]>`
    SELECT DISTINCT site_id, log_source FROM inverter WHERE account_id = current_account() ORDER BY site_id, log_source`;
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
