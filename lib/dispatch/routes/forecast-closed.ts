import { HOUR_MS, type HourIndex } from "../../core/weather-series.ts";
import type { Span } from "./plan-instance.ts";
import type { PlanParameters } from "./plan-parameters.ts";

/** Hourly forecast at a site; index i is the hour that ends at `(firstHour + i) * HOUR_MS`. null: not forecast. */
export interface SiteForecast {
  firstHour: HourIndex;
  hours: number;
  precipitationProbabilityPct: readonly (number | null)[];
  precipitationMm: readonly (number | null)[];
  windMs: readonly (number | null)[];
  temperatureC: readonly (number | null)[];
  thunderProbabilityPct: readonly (number | null)[];
}

/**
 * Hours in which a forecast keeps people away: rain and the hours it takes to dry, and thunder, from all metal; gusts
 * and frost from roofs. An hour or element that is not forecast closes nothing: it is not known, and whoever reads the
 * plan must be told so.
 * @returns spans that may touch or overlap
 */
export function forecastClosed(forecast: SiteForecast, roof: boolean, params: PlanParameters): Span[] {
  const closed: Span[] = [];
  for (let i = 0; i < forecast.hours; i++) {
    const from = (forecast.firstHour + i - 1) * HOUR_MS;
    const chance = forecast.precipitationProbabilityPct[i] ?? null;
    const depth = forecast.precipitationMm[i] ?? null;
    const rain = chance === null ? depth !== null && depth >= params.rainMm : chance > params.rainChancePct;
    if (rain) closed.push({ from, to: from + (1 + params.dryingHours) * HOUR_MS });
    const thunder = (forecast.thunderProbabilityPct[i] ?? 0) > params.thunderChancePct;
    const gust = roof && (forecast.windMs[i] ?? 0) * params.gustFactor > params.gustMs;
    const frost = roof && (forecast.temperatureC[i] ?? Number.POSITIVE_INFINITY) <= params.frostC;
    if (thunder || gust || frost) closed.push({ from, to: from + HOUR_MS });
  }
  return closed;
}
