import { z } from "zod";
import { type Met, meet, TRACE_MM } from "../weather/formats/hour-fold.ts";
import { type DecodedMetar, decodeMetar, hourPrecipitation } from "../weather/formats/metar.ts";
import { FeedError } from "./feed-error.ts";
import type { ObservationRequest, ObservationSource, StationReport } from "./provider.ts";
import { Quantity, usable } from "./quantity.ts";

const quantity = Quantity.nullish().catch(null);

const Phenomenon = z.object({
  weather: z.string().nullish(),
  rawString: z.string().nullish(),
  inVicinity: z.boolean().nullish(),
});

/** What is used of one observation. A field of another shape than published counts as not there. */
const Properties = z.object({
  station: z.string().nullish(),
  timestamp: z.string().regex(/(Z|[+-]\d{2}:?\d{2})$/),
  rawMessage: z.string().nullish().catch(null),
  presentWeather: z.array(Phenomenon).nullish().catch(null),
  temperature: quantity,
  dewpoint: quantity,
  windSpeed: quantity,
  relativeHumidity: quantity,
  precipitationLastHour: quantity,
});
type Properties = z.infer<typeof Properties>;

const Collection = z.object({
  type: z.literal("FeatureCollection"),
  features: z.array(z.unknown()),
});
const Feature = z.object({ properties: Properties });

/** Observations in one answer at most; the service's own limit is 500 (from memory). */
const LIMIT = 500;
/** How long the service remembers, h: seven days (from memory), less one for the edge. */
const REACH_HOURS = 7 * 24 - 1;

/**
 * Observations of the US National Weather Service's public web service, `/stations/{id}/observations`. Shape: its
 * published OpenAPI description, from memory, held against answers that are kept in public.
 */
export const nwsObservations: ObservationSource = {
  reachHours: REACH_HOURS,
  keyOf: ({ stationId, aliases }) => [stationId, ...aliases].find((name) => /^[A-Z][A-Z0-9]{3,4}$/.test(name)) ?? null,
  async observations(client, request) {
    // Whether the end belongs to the span is not published, so a second more is asked for; strangers are sorted out later.
    const query = new URLSearchParams({
      start: wholeSeconds(request.from),
      end: wholeSeconds(request.to + 1000),
      limit: String(LIMIT),
    });
    const path = `/stations/${encodeURIComponent(request.key)}/observations?${query}`;
    const answer = await client.get(path, request.validators);
    if (answer.kind !== "body") return answer;
    const collection = Collection.safeParse(answer.json);
    if (!collection.success) throw new FeedError("bad_answer", "the answer is no collection of observations");
    const { features } = collection.data;
    return {
      kind: "reports",
      reports: features.flatMap((feature) => reportOf(feature, request) ?? []),
      full: features.length >= LIMIT,
      validators: answer.validators,
    };
  },
};

const wholeSeconds = (at: number) => new Date(at).toISOString().replace(".000Z", "Z");

/** One observation as a report; null when it is of no use: broken, or of another station. */
function reportOf(feature: unknown, { stationId, key, met }: ObservationRequest): StationReport | null {
  const parsed = Feature.safeParse(feature);
  const at = parsed.success ? Date.parse(parsed.data.properties.timestamp) : Number.NaN;
  if (!parsed.success || !Number.isFinite(at)) {
    meet(met, "observations that are broken, left out");
    return null;
  }
  const p = parsed.data.properties;
  if (p.station && p.station.split("/").at(-1) !== key) {
    meet(met, "observations of another station than asked for, left out");
    return null;
  }
  const raw = p.rawMessage?.trim() ?? "";
  const decoded = raw === "" ? null : decodeMetar(raw);
  const metar = decoded && agrees(decoded, at) ? decoded : null;
  const routine = isRoutine(raw, metar, at);
  return {
    stationId,
    at,
    precipitationMm: precipitation(p, metar, routine, met),
    temperatureC: usable(p.temperature, "temperatureC", met) ?? unless(p.temperature, metar?.temperatureC),
    dewPointC: usable(p.dewpoint, "temperatureC", met) ?? unless(p.dewpoint, metar?.dewPointC),
    relativeHumidityPct: usable(p.relativeHumidity, "percent", met),
    windMs: usable(p.windSpeed, "speedMs", met) ?? unless(p.windSpeed, metar?.windMs),
    thunder: thunder(p, metar),
    routine,
    corrected: /^(METAR |SPECI )?(COR )?[A-Z0-9]{4} \d{6}Z COR\b|^(METAR |SPECI )?COR /.test(raw),
  };
}

/** The report's own day and time are the observation's: a raw text that was put beside another hour says nothing of it. */
function agrees(metar: DecodedMetar, at: number): boolean {
  const time = new Date(at);
  return (
    metar.day === time.getUTCDate() &&
    metar.hour === time.getUTCHours() &&
    Math.abs(metar.minute - time.getUTCMinutes()) <= 1
  );
}

/** A value of the raw report where the service gives none; a value that it calls wrong is not brought back that way. */
function unless(given: Quantity | null | undefined, raw: number | null | undefined): number | null {
  return given?.value === null || given?.value === undefined ? (raw ?? null) : null;
}

/**
 * The service mostly leaves METAR or SPECI away. Then a full report from minute 45 on, or on the hour, is the hour's
 * own; the five-minute observations between have no raw report and are never it.
 */
function isRoutine(raw: string, metar: DecodedMetar | null, at: number): boolean {
  if (!metar || metar.special) return false;
  const minute = new Date(at).getUTCMinutes();
  return raw.startsWith("METAR ") || minute >= 45 || minute === 0;
}

/**
 * Precipitation of the hour so far. The raw report comes first: it tells a trace from nothing, and nothing from not
 * measured. Else the service's value, which is a running total; else present weather, which only tells wet.
 */
function precipitation(p: Properties, metar: DecodedMetar | null, routine: boolean, met: Met): number | null {
  if (metar?.hourlyMm !== null && metar?.hourlyMm !== undefined) return metar.hourlyMm;
  const given = usable(p.precipitationLastHour, "depthMm", met);
  const falling = (p.presentWeather ?? []).some(
    (w) => w.inVicinity !== true && PRECIPITATION.test(w.rawString ?? w.weather ?? ""),
  );
  if (given !== null && given > 0) return given;
  if (metar) return hourPrecipitation(metar, !routine);
  return falling ? TRACE_MM : given;
}

const PRECIPITATION = /(DZ|RA|SN|SG|PL|GR|GS|UP)|\b(drizzle|rain|snow|snow_grains|ice_pellets|hail|snow_pellets)\b/;

/** Thunder of the raw report; without one only its being heard is sure. */
function thunder(p: Properties, metar: DecodedMetar | null): 0 | 1 | null {
  const heard = (p.presentWeather ?? []).some((w) =>
    /TS|thunderstorms/.test(`${w.rawString ?? ""} ${w.weather ?? ""}`),
  );
  if (heard || metar?.thunder) return 1;
  return metar && !metar.noThunderSensor ? 0 : null;
}
