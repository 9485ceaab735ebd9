import { randomUUID } from "node:crypto";
import { z } from "zod";
import type { Sql } from "./transaction.ts";

const Validators = z.object({ etag: z.string().optional(), lastModified: z.string().optional() });
const Day = Validators.extend({ day: z.number().int(), at: z.number() });

type DaysLooked = ReadonlyMap<number, { at: number; validators: z.infer<typeof Validators> }>;

const StationRow = z
  .object({
    station_id: z.string(),
    asked_through: z.number().int().nullable(),
    days: z.array(Day),
    asked_at: z.date().nullable(),
    last_hour: z.number().int().nullable(),
    error: z.string().nullable(),
  })
  .transform((r) => ({
    stationId: r.station_id,
    askedThrough: r.asked_through,
    days: new Map(r.days.map(({ day, at, ...validators }) => [day, { at, validators }])) as DaysLooked,
    askedAt: r.asked_at?.getTime() ?? null,
    lastHour: r.last_hour,
    error: r.error,
  }));
/** How a station stands with the service. */
export type FeedStation = z.infer<typeof StationRow>;

export const unaskedStation = (stationId: string): FeedStation => ({
  stationId,
  askedThrough: null,
  days: new Map(),
  askedAt: null,
  lastHour: null,
  error: null,
});

export async function feedStations(tx: Sql): Promise<Map<string, FeedStation>> {
  const rows = await tx`SELECT station_id, asked_through, days, asked_at, last_hour, error FROM weather_feed_station
    WHERE account_id = current_account()`;
  return new Map(
    z
      .array(StationRow)
      .parse([...rows])
      .map((row) => [row.stationId, row]),
  );
}

export async function saveFeedStation(tx: Sql, s: FeedStation): Promise<void> {
  const days = [...s.days].map(([day, { at, validators }]) => ({ day, at, ...validators }));
  await tx`
    INSERT INTO weather_feed_station (account_id, station_id, asked_through, days, asked_at, last_hour, error)
    VALUES (current_account(), ${s.stationId}, ${s.askedThrough}, ${tx.json(days as never)},
      ${s.askedAt === null ? null : new Date(s.askedAt)}, ${s.lastHour}, ${s.error})
    ON CONFLICT (account_id, station_id) DO UPDATE SET asked_through = excluded.asked_through, days = excluded.days,
      asked_at = excluded.asked_at, last_hour = excluded.last_hour, error = excluded.error`;
}

const RunRow = z
  .object({
    run_id: z.string(),
    requested_by: z.string(),
    requested_at: z.date(),
    status: z.enum(["waiting", "running", "done", "cancelled", "failed"]),
    finished_at: z.date().nullable(),
    quiet_until: z.date().nullable(),
    stations_total: z.number(),
    stations_done: z.number(),
    requests: z.number(),
    hours_changed: z.number(),
    says: z.string().nullable(),
  })
  .transform((r) => ({
    runId: r.run_id,
    requestedBy: r.requested_by,
    requestedAt: r.requested_at.getTime(),
    status: r.status,
    finishedAt: r.finished_at?.getTime() ?? null,
    quietUntil: r.quiet_until?.getTime() ?? null,
    stationsTotal: r.stations_total,
    stationsDone: r.stations_done,
    requests: r.requests,
    hoursChanged: r.hours_changed,
    says: r.says,
  }));
export type FeedRun = z.infer<typeof RunRow>;

export const isOpenRun = (run: FeedRun | null): boolean => run?.status === "waiting" || run?.status === "running";

/** The newest run of the account; null: there was none. */
export async function newestFeedRun(tx: Sql): Promise<FeedRun | null> {
  const rows = await tx`SELECT run_id, requested_by, requested_at, status, finished_at, quiet_until, stations_total,
      stations_done, requests, hours_changed, says
    FROM weather_feed_run WHERE account_id = current_account() ORDER BY requested_at DESC LIMIT 1`;
  return rows[0] ? RunRow.parse(rows[0]) : null;
}

/** @returns the new run's id */
export async function addFeedRun(tx: Sql, requestedBy: string): Promise<string> {
  const runId = randomUUID();
  await tx`INSERT INTO weather_feed_run (account_id, run_id, requested_by) VALUES (current_account(), ${runId}, ${requestedBy})`;
  // A year of hourly runs is history enough.
  await tx`DELETE FROM weather_feed_run WHERE account_id = current_account() AND requested_at < now() - interval '1 year'`;
  return runId;
}

/** Record how far a run is. @returns false when somebody stopped it meanwhile */
export async function saveFeedRun(
  tx: Sql,
  runId: string,
  now: Pick<FeedRun, "status" | "stationsTotal" | "stationsDone" | "requests" | "hoursChanged" | "says" | "quietUntil">,
): Promise<boolean> {
  const over = now.status !== "running";
  const saved = await tx`
    UPDATE weather_feed_run SET status = ${now.status}, stations_total = ${now.stationsTotal},
      stations_done = ${now.stationsDone}, requests = ${now.requests}, hours_changed = ${now.hoursChanged},
      says = ${now.says}, quiet_until = ${now.quietUntil === null ? null : new Date(now.quietUntil)},
      finished_at = CASE WHEN ${over} THEN clock_timestamp() END
    WHERE account_id = current_account() AND run_id = ${runId} AND status IN ('waiting', 'running')`;
  return saved.count > 0;
}

/** Stop the open run, if there is one. */
export async function stopFeedRuns(tx: Sql, says: string): Promise<number> {
  const stopped = await tx`
    UPDATE weather_feed_run SET status = 'cancelled', finished_at = clock_timestamp(), says = ${says}
    WHERE account_id = current_account() AND status IN ('waiting', 'running')`;
  return stopped.count;
}

const Numbers = z.array(z.number().nullable());
const Forecast = z.object({
  issuedAt: z.number().nullable(),
  firstHour: z.number().int(),
  hours: z.number().int(),
  precipitationProbabilityPct: Numbers,
  precipitationMm: Numbers,
  windMs: Numbers,
  temperatureC: Numbers,
  thunderProbabilityPct: Numbers,
});
const ForecastRow = z
  .object({ site_id: z.string(), cell: z.string(), asked_at: z.date(), validators: Validators, forecast: Forecast })
  .transform((r) => ({
    siteId: r.site_id,
    cell: r.cell,
    askedAt: r.asked_at.getTime(),
    validators: r.validators,
    forecast: r.forecast,
  }));
export type SiteForecast = z.infer<typeof ForecastRow>;

/** Stored forecasts by site. */
export async function siteForecasts(tx: Sql, siteIds: readonly string[]): Promise<Map<string, SiteForecast>> {
  const rows = await tx`SELECT site_id, cell, asked_at, validators, forecast FROM site_forecast
    WHERE account_id = current_account() AND site_id = ANY(${[...siteIds]})`;
  return new Map(
    z
      .array(ForecastRow)
      .parse([...rows])
      .map((row) => [row.siteId, row]),
  );
}

export async function saveSiteForecast(tx: Sql, f: SiteForecast): Promise<void> {
  await tx`
    INSERT INTO site_forecast (account_id, site_id, cell, asked_at, validators, forecast)
    SELECT current_account(), ${f.siteId}, ${f.cell}, ${new Date(f.askedAt)}, ${tx.json(f.validators as never)},
      ${tx.json(f.forecast as never)}
    WHERE EXISTS (SELECT FROM site WHERE account_id = current_account() AND site_id = ${f.siteId})
    ON CONFLICT (account_id, site_id) DO UPDATE SET cell = excluded.cell, asked_at = excluded.asked_at,
      validators = excluded.validators, forecast = excluded.forecast`;
}

/** Sites whose visit is in the queue, most pressing first, with their places. */
export async function queuedSites(tx: Sql): Promise<{ siteId: string; latitude: number; longitude: number }[]> {
  const rows = await tx<{ site_id: string; latitude: number; longitude: number }[]>`
    SELECT st.site_id, s.latitude, s.longitude FROM standing st JOIN site s USING (account_id, site_id)
    WHERE st.account_id = current_account() AND st.urgency <> 'watch' AND st.rank IS NOT NULL ORDER BY st.rank`;
  return rows.map((r) => ({ siteId: r.site_id, latitude: r.latitude, longitude: r.longitude }));
}
