import type { Instant, Station } from "../core/records.ts";
import type { HourIndex } from "../core/weather-series.ts";
import type { HourReport, Met } from "../weather/formats/hour-fold.ts";
import type { PoliteClient, Validators } from "./polite-client.ts";

/** A report as a service gives it: an hour's report, and what tells its versions apart. */
export interface StationReport extends HourReport {
  /** It replaces an earlier report of the same instant. */
  corrected: boolean;
}

export type ObservationAnswer =
  | { kind: "unchanged" }
  /** The service has no such station. */
  | { kind: "absent" }
  | {
      kind: "reports";
      /** In any order, perhaps twice, perhaps of other hours than asked for. */
      reports: StationReport[];
      /** The answer may have been cut at a limit: ask for less. */
      full: boolean;
      validators: Validators;
    };

export interface ObservationRequest {
  /** The account's name of the station, which the reports carry. */
  stationId: string;
  /** The service's name of it. */
  key: string;
  from: Instant;
  to: Instant;
  validators: Validators;
  /** Counts what was met and dealt with. */
  met: Met;
}

/** Hourly observations by station. */
export interface ObservationSource {
  /** How far back the service remembers, h. */
  reachHours: number;
  /** The service's name of a station; null: the service cannot know it. */
  keyOf: (station: Pick<Station, "stationId" | "aliases">) => string | null;
  observations: (client: PoliteClient, request: ObservationRequest) => Promise<ObservationAnswer>;
}

/**
 * Hourly forecast of one point; index i is the hour that ends at `(firstHour + i) * HOUR_MS`. null: not forecast, which
 * is never to be read as dry or calm.
 */
export interface HourlyForecast {
  issuedAt: Instant | null;
  firstHour: HourIndex;
  hours: number;
  /** Probability of any precipitation, 0 to 100 %. */
  precipitationProbabilityPct: (number | null)[];
  /** mm in the hour; an amount given for several hours is spread evenly over them. */
  precipitationMm: (number | null)[];
  windMs: (number | null)[];
  temperatureC: (number | null)[];
  thunderProbabilityPct: (number | null)[];
}

export type ForecastAnswer =
  | { kind: "unchanged" }
  /** The service does not cover the point. */
  | { kind: "absent" }
  | { kind: "forecast"; cell: string; forecast: HourlyForecast; validators: Validators };

export interface ForecastRequest {
  latitude: number;
  longitude: number;
  /** The service's name of the place as it gave it before; null: not asked yet. */
  cell: string | null;
  /** Of the answer for that cell. */
  validators: Validators;
  /** Tells which hours are of use where the answer does not say when it was made. */
  now: Instant;
}

/** Hourly forecast by point. */
export interface ForecastSource {
  forecast: (client: PoliteClient, request: ForecastRequest) => Promise<ForecastAnswer>;
}
