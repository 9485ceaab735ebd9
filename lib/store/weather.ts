import { z } from "zod";
import { HOUR_MS, type WeatherSeries } from "../core/weather-series.ts";
import { unpackMonths } from "../weather/packing.ts";
import type { Sql } from "./transaction.ts";

const MonthRow = z.object({
  month: z.string(),
  precipitation: z.instanceof(Uint8Array),
  temperature: z.instanceof(Uint8Array),
  dewPoint: z.instanceof(Uint8Array),
  humidity: z.instanceof(Uint8Array),
  wind: z.instanceof(Uint8Array),
  thunder: z.instanceof(Uint8Array),
});

/**
 * The stored weather of one station as a gap-free series.
 * @param span limits the months read to those that hold its instants; hours outside stored months are unknown
 * @param exact true: `span.from` lies inside the month wanted; false: one month before is read too, whose last hour may
 *   end in the span
 * @returns null when nothing is stored in the span
 */
export async function weatherSeries(
  tx: Sql,
  stationId: string,
  span?: { from: Date; to: Date },
  exact = false,
): Promise<WeatherSeries | null> {
  const from = span ? new Date(span.from.getTime() - (exact ? 0 : 3_600_000)) : null;
  const found = await tx`
    SELECT to_char(month, 'YYYY-MM') AS month, precipitation, temperature, dew_point AS "dewPoint", humidity, wind, thunder
    FROM weather_month
    WHERE account_id = current_account() AND station_id = ${stationId}
      ${from && span ? tx`AND month >= date_trunc('month', ${from}::timestamptz)::date AND month <= ${span.to}::timestamptz::date` : tx``}
    ORDER BY month`;
  const months = z.array(MonthRow).parse([...found]);
  return months.length > 0 ? unpackMonths(stationId, months) : null;
}

/** End of a station's newest hour of which anything is known; null: none is stored. */
export async function newestHour(tx: Sql, stationId: string): Promise<number | null> {
  const found = await tx`
    SELECT to_char(month, 'YYYY-MM') AS month, precipitation, temperature, dew_point AS "dewPoint", humidity, wind, thunder
    FROM weather_month WHERE account_id = current_account() AND station_id = ${stationId} ORDER BY month DESC LIMIT 1`;
  const months = z.array(MonthRow).parse([...found]);
  if (months.length === 0) return null;
  const s = unpackMonths(stationId, months);
  for (let i = s.hours - 1; i >= 0; i--) {
    const known = [s.precipitationMm, s.temperatureC, s.dewPointC, s.relativeHumidityPct, s.windMs];
    if (s.thunder[i] !== -1 || known.some((element) => !Number.isNaN(element[i] as number)))
      return (s.firstHour + i) * HOUR_MS;
  }
  return null;
}
