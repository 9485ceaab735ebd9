import { z } from "zod";
import type { Instant } from "../core/records.ts";
import { HOUR_MS, type HourIndex } from "../core/weather-series.ts";
import { FeedError } from "./feed-error.ts";
import type { PoliteClient } from "./polite-client.ts";
import type { ForecastAnswer, ForecastRequest, ForecastSource, HourlyForecast } from "./provider.ts";
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
/** Of those, hours before the grid was updated: grids begin some hours earlier (from memory). */
const HOURS_BEFORE = 24;

/**
 * Forecast grids of the US National Weather Service's public web service: `/points/{lat},{lon}` names the grid cell,
 * `/gridpoints/{office}/{x},{y}` holds its layers, each value with the span it is valid for. Shape: its published
 * OpenAPI description, from memory. A layer that the office leaves out or empty (thunder often is) stays unknown.
 */
export const nwsForecast: ForecastSource = {
  async forecast(client, request) {
    const known = request.cell;
    if (known !== null) {
      const answer = await gridAt(client, known, request);
      if (answer.kind !== "absent") return answer;
    }
    // Grids are redrawn now and then: a cell that is gone is looked up anew, once.
    const cell = await cellOf(client, request);
    if (cell === null || cell === known) return { kind: "absent" };
    return gridAt(client, cell, { now: request.now, validators: {} });
  },
};

async function gridAt(
  client: PoliteClient,
  cell: string,
  { now, validators }: Pick<ForecastRequest, "now" | "validators">,
): Promise<ForecastAnswer> {
  const answer = await client.get(`/gridpoints/${cell}`, validators);
  if (answer.kind !== "body") return answer;
  const grid = Grid.safeParse(answer.json);
  if (!grid.success) throw new FeedError("bad_answer", "the answer is no forecast grid");
  const forecast = hourlyForecast(grid.data.properties, now);
  if (!forecast) throw new FeedError("bad_answer", "the forecast grid holds no hour near the present");
  return { kind: "forecast", cell, forecast, validators: answer.validators };
}

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

function hourlyForecast(layers: z.infer<typeof Grid>["properties"], now: Instant): HourlyForecast | null {
  const updated = Date.parse(layers.updateTime ?? "");
  const issuedAt = Number.isFinite(updated) ? updated : null;
  const bounds = boundsOf(issuedAt, now);
  const temperature = spans(layers.temperature, "temperatureC", bounds);
  const wind = spans(layers.windSpeed, "speedMs", bounds);
  const chance = spans(layers.probabilityOfPrecipitation, "percent", bounds);
  const depth = spans(layers.quantitativePrecipitation, "depthMm", bounds);
  const thunder = spans(layers.probabilityOfThunder, "percent", bounds);
  let firstHour = Number.POSITIVE_INFINITY;
  let end = Number.NEGATIVE_INFINITY;
  for (const s of [temperature, wind, chance, depth, thunder].flat()) {
    firstHour = Math.min(firstHour, s.first);
    end = Math.max(end, s.end);
  }
  if (end < firstHour) return null;
  const hours = end - firstHour;
  const filled = (of: Span[]) => {
    const out = new Array<number | null>(hours).fill(null);
    for (const { first, end, value } of of) out.fill(value, first - firstHour, end - firstHour);
    return out;
  };
  return {
    issuedAt,
    firstHour,
    hours,
    temperatureC: filled(temperature),
    windMs: filled(wind),
    precipitationProbabilityPct: filled(chance),
    precipitationMm: filled(depth),
    thunderProbabilityPct: filled(thunder),
  };
}

/** Hours from `first` up to and without `end`. */
interface Bounds {
  first: HourIndex;
  end: HourIndex;
}

/**
 * The hours that a grid may speak of, so that no stray span moves or widens the forecast. An update that is yet to come,
 * or longer ago than a forecast reaches, is a fault and tells nothing; then the present does.
 */
function boundsOf(issuedAt: Instant | null, now: Instant): Bounds {
  const hoursAgo = issuedAt === null ? Number.NaN : (now - issuedAt) / HOUR_MS;
  const around = issuedAt !== null && hoursAgo >= -HOURS_BEFORE && hoursAgo <= MOST_HOURS ? issuedAt : now;
  const first = Math.floor(around / HOUR_MS) + 1 - HOURS_BEFORE;
  return { first, end: first + MOST_HOURS };
}

/** The hour that ends an hour after the span begins is its first. */
interface Span extends Bounds {
  /** Of each of its hours. */
  value: number;
}

/** What a value may be; beyond it is a fault of the grid and left unknown. */
const POSSIBLE: Record<Dimension, readonly [number, number]> = {
  temperatureC: [-95, 65],
  speedMs: [0, 115],
  depthMm: [0, 2000],
  percent: [0, 100],
};

/** What of a layer lies in the bounds. */
function spans(layer: Layer, as: Dimension, bounds: Bounds): Span[] {
  const [low, high] = POSSIBLE[as];
  return (layer?.values ?? []).flatMap(({ validTime, value }) => {
    const [start = "", duration = ""] = validTime.split("/");
    const from = /(Z|[+-]\d{2}:?\d{2})$/.test(start) ? Date.parse(start) : Number.NaN;
    const hours = durationHours(duration);
    const known = inUnit(value, layer?.uom, as);
    if (!Number.isFinite(from) || from % HOUR_MS !== 0 || hours === null || known === null) return [];
    const begins = from / HOUR_MS + 1;
    const first = Math.max(begins, bounds.first);
    const end = Math.min(begins + hours, bounds.end);
    if (first >= end || known < low || known > high) return [];
    // A depth is the total of its whole span; the other layers hold in each of its hours.
    return [{ first, end, value: as === "depthMm" ? known / hours : known }];
  });
}

/** Whole hours of an ISO 8601 duration of days and hours; null: not such a one. */
function durationHours(text: string): number | null {
  const m = /^P(?:(\d{1,2})D)?(?:T(\d{1,3})H)?$/.exec(text);
  const hours = m ? Number(m[1] ?? 0) * 24 + Number(m[2] ?? 0) : 0;
  return hours > 0 ? hours : null;
}
