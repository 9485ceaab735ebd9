import type { Station } from "../core/records.ts";
import { HOUR_MS } from "../core/weather-series.ts";
import { mergeReportedHours } from "../ingest/merge-weather.ts";
import { eitherSignal } from "../live/either-signal.ts";
import { FeedError } from "../live/feed-error.ts";
import { type FeedConfiguration, type FeedSettings, feedConfiguration } from "../live/feed-settings.ts";
import { fetchWindow } from "../live/fetch-window.ts";
import { nwsForecast } from "../live/nws-forecast.ts";
import { nwsObservations } from "../live/nws-observations.ts";
import { afterWindow, observationWindows } from "../live/observation-windows.ts";
import { type Outside, PoliteClient } from "../live/polite-client.ts";
import { SYSTEM_OUTSIDE } from "../live/system-outside.ts";
import type { Actor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { stations } from "../store/site-records.ts";
import { readTransaction, systemTransaction, writeTransaction } from "../store/transaction.ts";
import * as feed from "../store/weather-feed.ts";
import { holdingLock } from "./hold-lock.ts";
import { weatherLockKey } from "./import-lock.ts";
import { scorePlan } from "./score-plan.ts";

/** A forecast is asked for again after so long. */
const FORECAST_AGE_MS = 3 * HOUR_MS;
/** A run starts by itself this long after the last one ended. */
export const RUN_EVERY_MS = HOUR_MS;
/** Of the requests of a run, so many in a hundred are kept for forecasts. */
const FORECAST_SHARE = 0.25;

/** Settings of the weather service of this installation. */
export const weatherFeed = (): FeedConfiguration => feedConfiguration(process.env);

export interface WeatherRun {
  settings: FeedSettings;
  signal: AbortSignal;
  outside?: Outside;
}

/**
 * Carry out the open run of an account, unless another process does. What was stored stays when it is stopped or
 * killed; a later run goes on from there, and asking for the same hours twice changes nothing.
 * @returns hours changed; null when there was no open run or another process has it
 */
export async function runWeatherFeed(db: Database, actor: Actor, run: WeatherRun): Promise<number | null> {
  return holdingLock(db, weatherLockKey(actor.accountId), { waits: false }, async () => {
    const open = await readTransaction(actor, feed.newestFeedRun, db);
    return open && feed.isOpenRun(open) ? new Round(db, actor, open.runId, run).carryOut() : null;
  });
}

class Round {
  readonly #db: Database;
  readonly #actor: Actor;
  readonly #runId: string;
  readonly #outside: Outside;
  readonly #client: PoliteClient;
  readonly #settings: FeedSettings;
  /** Aborts with the worker, or when a person stops the run. */
  readonly #stop = new AbortController();
  #total = 0;
  #done = 0;
  #hoursChanged = 0;
  #failed: string[] = [];

  constructor(db: Database, actor: Actor, runId: string, { settings, signal, outside = SYSTEM_OUTSIDE }: WeatherRun) {
    this.#db = db;
    this.#actor = actor;
    this.#runId = runId;
    this.#outside = outside;
    this.#settings = settings;
    this.#client = new PoliteClient(settings, outside, eitherSignal(signal, this.#stop.signal).signal);
  }

  async carryOut(): Promise<number> {
    try {
      await this.#observations();
      await this.#forecasts();
      await this.#end("done", this.#failed.length > 0 ? `No answer for ${this.#failed.join(", ")}.` : null);
    } catch (error) {
      if (!(error instanceof FeedError)) {
        await this.#end("failed", "Something went wrong inside Raintrip; the log has the details.");
        throw error;
      }
      if (error.kind === "cancelled") {
        // Stopped by a person: the row says so already. Stopped with the worker: the row stays open for the next one.
      } else {
        const goesOn = error.kind === "cap" ? "; the next run goes on from there" : "";
        await this.#end("done", `Stopped early: ${error.message}${goesOn}.`, error.until);
      }
    }
    return this.#hoursChanged;
  }

  async #observations(): Promise<void> {
    const wanted = await readTransaction(this.#actor, (tx) => stationsInUse(tx, this.#outside.now()), this.#db);
    const known = await readTransaction(this.#actor, feed.feedStations, this.#db);
    const sites = await readTransaction(this.#actor, feed.queuedSites, this.#db);
    // Forecasts come second and must not starve behind a long backfill.
    const kept = sites.length > 0 ? Math.ceil(this.#settings.runCap * FORECAST_SHARE) : 0;
    this.#client.cap = Math.max(1, this.#settings.runCap - kept);
    this.#total = wanted.length;
    await this.#progress();
    // Those never asked for or asked for longest ago come first, so that a cap starves no station for good.
    const askedAt = (s: Station) => known.get(s.stationId)?.askedAt ?? Number.NEGATIVE_INFINITY;
    const inTurn = [...wanted].sort((a, b) => askedAt(a) - askedAt(b) || (a.stationId < b.stationId ? -1 : 1));
    try {
      for (const station of inTurn) {
        await this.#station(station, known.get(station.stationId) ?? feed.unaskedStation(station.stationId));
        this.#done++;
        await this.#progress();
      }
    } catch (error) {
      if (!(error instanceof FeedError) || error.kind !== "cap" || kept === 0) throw error;
      await this.#forecasts();
      throw error;
    }
  }

  async #station(station: Station, from: feed.FeedStation): Promise<void> {
    const key = nwsObservations.keyOf(station);
    let state = from;
    const save = (change: Partial<feed.FeedStation>, rows: string[][] = []) => {
      state = { ...state, ...change, askedAt: this.#outside.now() };
      return systemTransaction(
        this.#actor,
        async (tx) => {
          // Hours and the note of having asked for them stand or fall together.
          this.#hoursChanged += await mergeReportedHours(tx, rows);
          await feed.saveFeedStation(tx, state);
        },
        this.#db,
      );
    };
    if (key === null) {
      await save({ error: "The service does not know stations by such a name; give its identifier in aliases." });
      return;
    }
    const windows = observationWindows(state, this.#outside.now(), nwsObservations.reachHours);
    for (const window of windows) {
      try {
        const answer = await fetchWindow(this.#client, nwsObservations, { stationId: station.stationId, key }, window);
        if (answer.kind === "absent") {
          await save({ error: `The service has no station ${key}.` });
          return;
        }
        const validators = answer.kind === "hours" ? answer.validators : window.validators;
        const { askedThrough, days } = afterWindow(state, window, { at: this.#outside.now(), validators });
        // A report that gives no value is no observation.
        const rows = answer.kind === "hours" ? answer.rows.filter((cells) => cells.slice(2).some((c) => c !== "")) : [];
        const newest = rows.reduce((latest, cells) => Math.max(latest, Date.parse(cells[1] as string) / HOUR_MS), 0);
        await save(
          {
            askedThrough,
            days,
            error: null,
            lastHour: newest > 0 ? Math.max(state.lastHour ?? 0, newest) : state.lastHour,
          },
          rows,
        );
      } catch (error) {
        if (!(error instanceof FeedError) || !["refused", "unreachable", "bad_answer"].includes(error.kind))
          throw error;
        this.#failed.push(station.stationId);
        await save({ error: `Asked in vain: ${error.message}.` });
        return;
      }
    }
  }

  async #forecasts(): Promise<void> {
    this.#client.cap = this.#settings.runCap;
    const { sites, known } = await readTransaction(
      this.#actor,
      async (tx) => {
        const queued = await feed.queuedSites(tx);
        return {
          sites: queued,
          known: await feed.siteForecasts(
            tx,
            queued.map((s) => s.siteId),
          ),
        };
      },
      this.#db,
    );
    for (const site of sites) {
      const before = known.get(site.siteId);
      const now = this.#outside.now();
      if (before && now - before.askedAt < FORECAST_AGE_MS) continue;
      try {
        const answer = await nwsForecast.forecast(this.#client, {
          latitude: site.latitude,
          longitude: site.longitude,
          cell: before?.cell ?? null,
          validators: before?.validators ?? {},
          now,
        });
        const { siteId } = site;
        const fresh =
          answer.kind === "forecast"
            ? { siteId, cell: answer.cell, askedAt: now, validators: answer.validators, forecast: answer.forecast }
            : answer.kind === "unchanged" && before
              ? { ...before, askedAt: now }
              : null;
        if (fresh) await systemTransaction(this.#actor, (tx) => feed.saveSiteForecast(tx, fresh), this.#db);
        await this.#progress();
      } catch (error) {
        // One place without a forecast is a gap of that place; it stays unknown there.
        if (!(error instanceof FeedError) || !["refused", "unreachable", "bad_answer"].includes(error.kind))
          throw error;
      }
    }
  }

  #row(status: feed.FeedRun["status"], says: string | null, quietUntil: number | null = null) {
    return {
      status,
      stationsTotal: this.#total,
      stationsDone: this.#done,
      requests: this.#client.requests,
      hoursChanged: this.#hoursChanged,
      says,
      quietUntil,
    };
  }

  async #progress(): Promise<void> {
    const runs = await systemTransaction(
      this.#actor,
      (tx) => feed.saveFeedRun(tx, this.#runId, this.#row("running", null)),
      this.#db,
    );
    if (!runs) {
      this.#stop.abort();
      throw new FeedError("cancelled", "the run was stopped");
    }
  }

  async #end(status: "done" | "failed", says: string | null, quietUntil: number | null = null): Promise<void> {
    const row = this.#row(status, says, quietUntil);
    await writeTransaction(
      this.#actor,
      async (tx) => {
        const saved = await feed.saveFeedRun(tx, this.#runId, row);
        const detail = { requests: row.requests, hoursChanged: row.hoursChanged, stations: row.stationsDone };
        return { result: null, note: saved ? { action: "weather.fetch", subject: this.#runId, detail } : null };
      },
      this.#db,
    );
  }
}

/** Stations whose weather some site takes, or that stand in for them. */
async function stationsInUse(tx: Parameters<typeof scorePlan>[0], now: number): Promise<Station[]> {
  const plan = await scorePlan(tx, { now, parameterVersion: "" });
  const ids = new Set(
    (plan?.plans ?? []).flatMap(({ choice }) =>
      choice.kind === "station" ? [choice.stationId, ...choice.helpers.map((h) => h.stationId)] : [],
    ),
  );
  return [...(await stations(tx)).values()].filter((s) => ids.has(s.stationId));
}
