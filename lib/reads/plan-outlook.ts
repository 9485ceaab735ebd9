import { HOUR_MS } from "../core/weather-series.ts";
import type { OutlookHour } from "../dispatch/routes/plan-input.ts";
import type { SiteForecast } from "../store/weather-feed.ts";

/** A gust is about so many times the mean wind over open land. Judgement. */
const GUST_FACTOR = 1.5;
/** Gusts of this keep people off a roof, m/s. Judgement. */
const ROOF_GUST_MS = 12;

/** A stored forecast as the hours that a plan looks at; what the service does not say stays unknown. */
export function planOutlook({ forecast }: SiteForecast): OutlookHour[] {
  const share = (pct: number | null | undefined) => (pct === null || pct === undefined ? null : pct / 100);
  return Array.from({ length: forecast.hours }, (_, i) => {
    const wind = forecast.windMs[i] ?? null;
    const depth = forecast.precipitationMm[i] ?? null;
    return {
      at: (forecast.firstHour + i) * HOUR_MS,
      // A service that gives a depth and no chance means that it will fall.
      rainProbability: share(forecast.precipitationProbabilityPct[i]) ?? (depth === null ? null : depth > 0.2 ? 1 : 0),
      gustProbability: wind === null ? null : wind * GUST_FACTOR > ROOF_GUST_MS ? 1 : 0,
      thunderProbability: share(forecast.thunderProbabilityPct[i]),
      filmMm: null,
      temperatureC: forecast.temperatureC[i] ?? null,
    };
  });
}
