import { z } from "zod";
import { HOUR_MS, type HourIndex } from "../core/weather-series.ts";
import { FeedError } from "./feed-error.ts";
import type { PoliteClient } from "./polite-client.ts";
import type { ForecastRequest, ForecastSource, HourlyForecast } from "./provider.ts";
import { type Dimension, inUnit } from "./quantity.ts";

const Layer = z
  .object({
    uom: z.string().nullish(),
    values: z.array(
      z.object({ validTime: z.string(), value: z.number().nullable() }).catch({ validTime: "", value: null }),
    ),
  })
  .nullish()
  .catch(null);
type Layer = z.infer<typeof Layer>;

const Grid = z.object({
  properties: z.object({
    updateTime: z.string().nullish().catch(null),
    temperature: Layer,
    windSpeed: Layer,
    probabilityOfPrecipitation: Layer,
    quantitativePrecipitation: Layer,
    probabilityOfThunder: Layer,
  }),
});

const Point = z.object({
  properties: z.object({
    gridId: z.string().regex(/^[A-Z]{3}$/),
    gridX: z.number().int().nonnegative(),
    gridY: z.number().int().nonnegative(),
  }),
});

/** Hours kept of a forecast: ten days is more than any grid of the service holds. */
const MOST_HOURS = 240;

/**
 * Forecast grids of the US National Weather Service's public web service: `/points/{lat},{lon}` names the grid cell,
 * `/gridpoints/{office}/{x},{y}` holds its layers, each value with the span it is valid for. Shape: its published
 * OpenAPI description, from memory. A layer that the office leaves out or empty (thunder often is) stays unknown.
 */
export const nwsForecast: ForecastSource = {
  async forecast(client, request) {
    const cell = request.cell ?? (await cellOf(client, request));
    if (cell === null) return { kind: "absent" };
    const answer = await client.get(`/gridpoints/${cell}`, request.cell === null ? {} : request.validators);
    if (answer.kind !== "body") return answer;
    const grid = Grid.safeParse(answer.json);
    if (!grid.success) throw new FeedError("bad_answer", "the answer is no forecast grid");
    const forecast = hourlyForecast(grid.data.properties);
    if (!forecast) throw new FeedError("bad_answer", "the forecast grid holds no hour");
    return { kind: "forecast", cell, forecast, validators: answer.validators };
  },
};

/** The address of the grid in the answer is not used: it could lead anywhere. Its parts are, once they look as they must. */
async function cellOf(client: PoliteClient, { latitude, longitude }: ForecastRequest): Promise<string | null> {
  // More than four decimals are answered with a redirect; trailing zeros too (from memory).
  const place = [latitude, longitude].map((degrees) => Number(degrees.toFixed(4))).join(",");
  const answer = await client.get(`/points/${place}`);
  if (answer.kind !== "body") return null;
  const point = Point.safeParse(answer.json);
  if (!point.success) throw new FeedError("bad_answer", "the answer names no grid cell");
  const { gridId, gridX, gridY } = point.data.properties;
  return `${gridId}/${gridX},${gridY}`;
}

function hourlyForecast(layers: z.infer<typeof Grid>["properties"]): HourlyForecast | null {
  const temperature = spans(layers.temperature, "temperatureC");
  const wind = spans(layers.windSpeed, "speedMs");
  const chance = spans(layers.probabilityOfPrecipitation, "percent");
  const depth = spans(layers.quantitativePrecipitation, "depthMm");
  const thunder = spans(layers.probabilityOfThunder, "percent");
  const all = [temperature, wind, chance, depth, thunder].flat();
  if (all.length === 0) return null;
  const firstHour = Math.min(...all.map((s) => s.first));
  const last = Math.max(...all.map((s) => s.first + s.hours - 1));
  const hours = Math.min(MOST_HOURS, last - firstHour + 1);
  const issued = Date.parse(layers.updateTime ?? "");
  const filled = (of: Span[], spread = false) => {
    const out = new Array<number | null>(hours).fill(null);
    for (const { first, hours: length, value } of of) {
      for (let i = first - firstHour; i < Math.min(hours, first - firstHour + length); i++)
        out[i] = spread ? value / length : value;
    }
    return out;
  };
  return {
    issuedAt: Number.isFinite(issued) ? issued : null,
    firstHour,
    hours,
    temperatureC: filled(temperature),
    windMs: filled(wind),
    precipitationProbabilityPct: filled(chance),
    // A depth is the total of its span; the other layers hold in each of its hours.
    precipitationMm: filled(depth, true),
    thunderProbabilityPct: filled(thunder),
  };
}

interface Span {
  /** The hour that ends an hour after the span begins. */
  first: HourIndex;
  hours: number;
  value: number;
}

/** What a value may be; beyond it is a fault of the grid and left unknown. */
const POSSIBLE: Record<Dimension, readonly [number, number]> = {
  temperatureC: [-95, 65],
  speedMs: [0, 115],
  depthMm: [0, 2000],
  percent: [0, 100],
};

function spans(layer: Layer, as: Dimension): Span[] {
  return (layer?.values ?? []).flatMap(({ validTime, value }) => {
    const [start = "", duration = ""] = validTime.split("/");
    const from = /(Z|[+-]\d{2}:?\d{2})$/.test(start) ? Date.parse(start) : Number.NaN;
    const hours = durationHours(duration);
    const known = inUnit(value, layer?.uom, as);
    const [low, high] = POSSIBLE[as];
    if (!Number.isFinite(from) || from % HOUR_MS !== 0 || hours === null || known === null) return [];
    return known >= low && known <= high ? [{ first: from / HOUR_MS + 1, hours, value: known }] : [];
  });
}

/** Whole hours of an ISO 8601 duration of days and hours; null: not such a one. */
function durationHours(text: string): number | null {
  const m = /^P(?:(\d{1,2})D)?(?:T(\d{1,3})H)?$/.exec(text);
  const hours = m ? Number(m[1] ?? 0) * 24 + Number(m[2] ?? 0) : 0;
  return hours > 0 ? hours : null;
}
