import { createHash } from "node:crypto";
import { z } from "zod";
import type { LatLon } from "../core/earth.ts";
import type { Instant } from "../core/records.ts";
import type { WeatherSeries } from "../core/weather-series.ts";
import { extendFilms, type FilmMonth, type Fingerprint, type MadeMonth } from "../weather/film-months.ts";
import type { FilmState } from "../weather/film-step.ts";
import type { WetnessSeries } from "../weather/weather-state.ts";
import { hourStates } from "../weather/wetness.ts";
import type { Sql } from "./transaction.ts";

const FilmRow = z
  .object({
    month: z.string(),
    input: z.string(),
    rain: z.instanceof(Uint8Array).nullable(),
    dew: z.instanceof(Uint8Array).nullable(),
    signs: z.instanceof(Uint8Array),
    end_water: z.tuple([z.number(), z.number(), z.number(), z.number(), z.number(), z.number(), z.number()]),
  })
  .transform(
    ({ end_water: e, ...row }): FilmMonth => ({
      ...row,
      end: {
        rain: { low: e[0], high: e[1] },
        dew: { low: e[2], high: e[3] },
        snow: { low: e[4], high: e[5] },
        hoursSinceThunder: e[6],
      },
    }),
  );

const numbersOf = ({ rain, dew, snow, hoursSinceThunder }: FilmState) => [
  rain.low,
  rain.high,
  dew.low,
  dew.high,
  snow.low,
  snow.high,
  hoursSinceThunder,
];

const fingerprint: Fingerprint = (heading, parts) => {
  const hash = createHash("sha256").update(heading);
  for (const part of parts) hash.update(part);
  return hash.digest("hex");
};

/** Whose weather the films follow from: a station, and those that stood in for its missing hours. */
export interface FilmSource {
  stationId: string;
  helpers: readonly string[];
}

/** Films computed now that are not stored yet. */
export interface MadeFilms {
  source: FilmSource;
  months: MadeMonth[];
}

const helpersText = (source: FilmSource) => source.helpers.join(";");

/**
 * Wetness of a station's series from the films that are kept, computing only the months that changed. Reads only: what
 * was computed is returned for keepFilms.
 * @param known.sun its elevation at the middle of each hour of the series, where that is known already
 * @param known.depthsFrom how deep films were is read for months from this instant's on; before, they are NaN. Whether hours
 *   were wet is in a fifth of the bytes.
 */
export async function keptWetness(
  tx: Sql,
  source: FilmSource,
  series: WeatherSeries,
  where: LatLon,
  { sun, depthsFrom }: { sun?: Float32Array; depthsFrom?: Instant } = {},
): Promise<{ wetness: WetnessSeries; made: MadeFilms }> {
  const from = depthsFrom === undefined ? null : new Date(depthsFrom);
  const rows = await tx`
    SELECT to_char(month, 'YYYY-MM') AS month, input, signs, end_water,
      CASE WHEN wanted THEN rain END AS rain, CASE WHEN wanted THEN dew END AS dew
    FROM film_month, LATERAL (SELECT ${from}::timestamptz IS NULL OR month >= date_trunc('month', ${from}::timestamptz)::date AS wanted) AS asked
    WHERE account_id = current_account() AND station_id = ${source.stationId} AND helpers = ${helpersText(source)}`;
  const kept = new Map(
    z
      .array(FilmRow)
      .parse([...rows])
      .map((row) => [row.month, row]),
  );
  const { films, made } = extendFilms(series, where, kept, fingerprint, sun);
  return { wetness: hourStates(series, films, where, sun ? { sun } : {}), made: { source, months: made } };
}

/** Store films, over what was there: a statement for all months of a source. */
export async function keepFilms(tx: Sql, { source, months }: MadeFilms): Promise<void> {
  if (months.length === 0) return;
  const hex = (bytes: Uint8Array) => Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength).toString("hex");
  await tx`
    INSERT INTO film_month (account_id, station_id, helpers, month, input, rain, dew, signs, end_water)
    SELECT current_account(), ${source.stationId}, ${helpersText(source)}, month, input,
      decode(rain, 'hex'), decode(dew, 'hex'), decode(signs, 'hex'), end_water::float8[]
    FROM unnest(${months.map((m) => `${m.month}-01`)}::date[], ${months.map((m) => m.input)}::text[],
      ${months.map((m) => hex(m.rain))}::text[], ${months.map((m) => hex(m.dew))}::text[], ${months.map((m) => hex(m.signs))}::text[],
      ${months.map((m) => `{${numbersOf(m.end).join()}}`)}::text[]) AS made(month, input, rain, dew, signs, end_water)
    WHERE EXISTS (SELECT FROM station WHERE account_id = current_account() AND station_id = ${source.stationId})
    ON CONFLICT (account_id, station_id, helpers, month) DO UPDATE SET input = excluded.input, rain = excluded.rain,
      dew = excluded.dew, signs = excluded.signs, end_water = excluded.end_water`;
}
