import { z } from "zod";
import type {
  CodeMeaning,
  Crew,
  FaultRow,
  Inspection,
  Instant,
  PathBond,
  PathPiece,
  Repair,
  Site,
  SiteRecords,
  Station,
  Visit,
} from "../core/records.ts";
import { localDay } from "../core/zoned-time.ts";
import { forEachFault } from "./fault-rows.ts";
import { isolationSpans } from "./make-safe.ts";
import * as rows from "./record-rows.ts";
import type { Sql } from "./transaction.ts";

/** Statements of a batch are the same from batch to batch: planned anew each time, the plans cost more than the rows. */
const PREPARED = { prepare: true };

async function select<S extends z.ZodObject>(
  tx: Sql,
  schema: S,
  table: string,
  siteIds: string[],
  order: string,
): Promise<z.infer<S>[]> {
  const found = await tx.unsafe(
    `SELECT ${rows.selectList(schema)} FROM ${table} WHERE account_id = current_account() AND site_id = ANY($1) ORDER BY ${order}`,
    [siteIds],
    PREPARED,
  );
  return z.array(schema).parse([...found]);
}

/**
 * Everything recorded of some sites, one query a table for the whole batch.
 * @param options.logs false: without faults, telemetry and readings, which are most of it
 * @returns a map by site id; every array in it sorted by time, then key; unknown ids are absent
 */
export async function siteRecords(
  tx: Sql,
  siteIds: string[],
  { logs = true }: { logs?: boolean } = {},
): Promise<Map<string, SiteRecords>> {
  const out = new Map<string, SiteRecords>();
  for (const site of await select(tx, rows.SiteRow, "site", siteIds, "site_id")) {
    out.set(site.siteId, {
      site,
      inverters: [],
      sections: [],
      faults: [],
      telemetry: [],
      readings: [],
      inspections: [],
      repairs: [],
      coverage: [],
    });
  }
  const into = <T extends { siteId: string }>(found: T[], key: keyof Omit<SiteRecords, "site">) => {
    for (const row of found) (out.get(row.siteId)?.[key] as unknown as T[] | undefined)?.push(row);
  };
  into(await select(tx, rows.InverterRow, "inverter", siteIds, "site_id, inverter_id"), "inverters");
  into(await select(tx, rows.SectionRow, "section", siteIds, "site_id, section_id"), "sections");
  if (logs) {
    into(await select(tx, rows.TelemetryRow, "telemetry", siteIds, "site_id, inverter_id, started_at"), "telemetry");
    into(await select(tx, rows.ReadingRow, "reading", siteIds, "site_id, inverter_id, observed_at"), "readings");
    await intoFaults(tx, siteIds, out);
  }
  into(await select(tx, rows.CoverageRow, "coverage", siteIds, "site_id, starts_on, coverage_id"), "coverage");
  await intoPath(tx, siteIds, out);
  await intoClaims(tx, siteIds, out);
  await intoMoments(tx, siteIds, out);
  for (const [siteId, spans] of await isolationSpans(tx, siteIds)) {
    const records = out.get(siteId);
    if (records) records.isolations = spans;
  }
  return out;
}

/** What people recorded of the way to ground by hand. */
async function intoPath(tx: Sql, siteIds: string[], out: Map<string, SiteRecords>): Promise<void> {
  for (const row of await select(tx, rows.PathPieceRow, "path_piece", siteIds, "site_id, piece_id")) {
    const records = out.get(row.siteId);
    if (records) records.pathPieces = [...(records.pathPieces ?? []), row satisfies PathPiece];
  }
  for (const row of await select(tx, rows.PathBondRow, "path_bond", siteIds, "site_id, bond_id")) {
    const records = out.get(row.siteId);
    const { fromPoint: from, toPoint: to, ...rest } = row;
    if (records) records.pathBonds = [...(records.pathBonds ?? []), { ...rest, from, to } satisfies PathBond];
  }
}

/** A claim is a discovery that nobody has ended; its day is the site's. */
async function intoClaims(tx: Sql, siteIds: string[], out: Map<string, SiteRecords>): Promise<void> {
  const found = await tx<{ site_id: string; discovery_id: string; what: string; discovered_at: Date }[]>`
    SELECT site_id, discovery_id, what, discovered_at FROM discovery
    WHERE account_id = current_account() AND site_id = ANY(${siteIds}) AND ended_how IS NULL ORDER BY site_id, discovered_at, discovery_id`;
  for (const row of found) {
    const records = out.get(row.site_id);
    if (!records) continue;
    const discoveredOn = localDay(row.discovered_at.getTime(), records.site.timeZone);
    records.claims = [...(records.claims ?? []), { discoveryId: row.discovery_id, what: row.what, discoveredOn }];
  }
}

const order = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0);
const byTime = (a: FaultRow, b: FaultRow) =>
  a.startedAt - b.startedAt || order(a.inverterId, b.inverterId) || order(a.code, b.code);

/** Faults take their inverter's vocabulary where the row named none. */
async function intoFaults(tx: Sql, siteIds: string[], out: Map<string, SiteRecords>): Promise<void> {
  const systems = new Map<string, string>();
  for (const records of out.values())
    for (const i of records.inverters) systems.set(`${i.siteId}\n${i.inverterId}`, i.codeSystem);
  let [siteId, faults]: [string | null, FaultRow[] | undefined] = [null, undefined];
  await forEachFault(tx, siteIds, (row) => {
    if (row.siteId !== siteId) [siteId, faults] = [row.siteId, out.get(row.siteId)?.faults];
    row.codeSystem ??= systems.get(`${row.siteId}\n${row.inverterId}`) ?? "sunspec_evt1";
    faults?.push(row as FaultRow);
  });
  for (const records of out.values()) records.faults.sort(byTime);
}

/** Inspections and repairs may name a day only; the day is the site's. */
async function intoMoments(tx: Sql, siteIds: string[], out: Map<string, SiteRecords>): Promise<void> {
  for (const row of await select(
    tx,
    rows.InspectionRow,
    "inspection",
    siteIds,
    'site_id, inspected_at, "check", section_id, inverter_id',
  )) {
    const { inspectedAt, inspectedDayOnly, ...rest } = row;
    const records = out.get(row.siteId);
    const zone = records?.site.timeZone ?? "UTC";
    records?.inspections.push({
      ...rest,
      inspectedAt: { at: inspectedAt, day: localDay(inspectedAt, zone), dayOnly: inspectedDayOnly },
    } satisfies Inspection);
  }
  for (const row of await select(tx, rows.RepairRow, "repair", siteIds, "site_id, repaired_at, cause")) {
    const { repairedAt, repairedDayOnly, ...rest } = row;
    const records = out.get(row.siteId);
    const zone = records?.site.timeZone ?? "UTC";
    records?.repairs.push({
      ...rest,
      repairedAt: { at: repairedAt, day: localDay(repairedAt, zone), dayOnly: repairedDayOnly },
    } satisfies Repair);
  }
}

/** The account's own fault vocabularies, keyed `system\0code` as the decoder expects. */
export async function codeMeanings(tx: Sql): Promise<Map<string, CodeMeaning>> {
  const found = await tx.unsafe(
    `SELECT ${rows.selectList(rows.CodeMeaningRow)} FROM code_meaning WHERE account_id = current_account()`,
  );
  return new Map(
    z
      .array(rows.CodeMeaningRow)
      .parse([...found])
      .map((m) => [`${m.codeSystem}\u0000${m.code}`, m]),
  );
}

type VersionedStation = Station & { version: number };

/** All stations of the account with their versions, by id. */
export const stations = (tx: Sql): Promise<Map<string, VersionedStation>> => stationsWhere(tx, "true", []);

/** Those that lie within so many degrees north or south of some latitudes. */
export function stationsBetween(
  tx: Sql,
  latitudes: readonly number[],
  reachDegrees: number,
): Promise<Map<string, VersionedStation>> {
  const bands: [number, number][] = [];
  for (const latitude of [...latitudes].sort((a, b) => a - b)) {
    const last = bands.at(-1);
    if (last && latitude - reachDegrees <= last[1]) last[1] = latitude + reachDegrees;
    else bands.push([latitude - reachDegrees, latitude + reachDegrees]);
  }
  const within = bands.map((_, i) => `latitude BETWEEN $${2 * i + 1}::float8 AND $${2 * i + 2}::float8`);
  return stationsWhere(tx, `(${within.join(" OR ") || "false"})`, bands.flat());
}

async function stationsWhere(tx: Sql, where: string, values: number[]) {
  const found = await tx.unsafe(
    `SELECT ${rows.selectList(rows.StationRow)}, version::float8 AS version FROM station
     WHERE account_id = current_account() AND ${where} ORDER BY station_id`,
    values,
  );
  const schema = rows.StationRow.extend({ version: z.number() });
  return new Map(
    z
      .array(schema)
      .parse([...found])
      .map((s) => [s.stationId, s]),
  );
}

export async function crews(tx: Sql): Promise<Crew[]> {
  const found = await tx.unsafe(
    `SELECT ${rows.selectList(rows.CrewRow)} FROM crew WHERE account_id = current_account() ORDER BY crew_id`,
  );
  return z.array(rows.CrewRow).parse([...found]);
}

/** Sites by id, without what is recorded of them. */
export async function sitesOf(tx: Sql, siteIds: string[]): Promise<Map<string, Site>> {
  const found = await select(tx, rows.SiteRow, "site", siteIds, "site_id");
  return new Map(found.map((site) => [site.siteId, site]));
}

export async function visitsOf(tx: Sql, siteIds: string[]): Promise<Visit[]> {
  return select(tx, rows.VisitRow, "visit", siteIds, "visit_id");
}

/**
 * The instant of a score when none is asked for: the end of the latest imported fault, telemetry or weather
 * hour, never later than `now`. Null when nothing was imported.
 */
export async function dataHorizon(tx: Sql, now: Instant): Promise<Instant | null> {
  const [row] = await tx<{ at: Date | null }[]>`
    SELECT greatest(fault_at, telemetry_at, weather_at) AS at FROM data_horizon WHERE account_id = current_account()`;
  return row?.at ? Math.min(row.at.getTime(), now) : null;
}
