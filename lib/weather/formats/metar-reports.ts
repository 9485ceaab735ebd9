import { parseIsoTime } from "../../core/zoned-time.ts";
import { relativeHumidityPct } from "../dew-point.ts";
import { decodeMetar, hourPrecipitation } from "./metar.ts";
import { clean, type ToLine, type WeatherReader } from "./reading.ts";

/** METAR reports: one a line with an ISO time in front, or the aviation text-data CSV with its preamble. */
export function metar(toLine: ToLine): WeatherReader {
  let at: Map<string, number> | null = null;
  return (cells) => {
    if (clean(cells[0]) === "raw_text") {
      at = new Map(cells.map((name, i) => [clean(name), i] as const).reverse());
      return null;
    }
    const line = cells.join(",").replace(/\s+/g, " ").trim();
    const columns = at;
    const m = /^(\d{4}-\d{2}-\d{2}[T ]\S+) (.*)$/.exec(line);
    if (!columns && !m)
      return /^(No errors|No warnings|\d+ ms|data source|\d+ results)/i.test(line)
        ? null
        : { reason: "no time in front of the report (YYYY-MM-DDTHH:MMZ REPORT)" };
    const raw = columns ? clean(cells[columns.get("raw_text") ?? -1]) : (m?.[2] ?? "");
    const stamp = columns ? clean(cells[columns.get("observation_time") ?? -1]) : (m?.[1] ?? "");
    const decoded = decodeMetar(raw);
    if (!decoded) return { reason: "not a METAR or SPECI report" };
    const time = parseIsoTime(stamp, "UTC");
    if (!time.ok || time.dayOnly) return { reason: time.ok ? "a time of day is needed" : time.reason };
    const special = decoded.special || (columns ? clean(cells[columns.get("metar_type") ?? -1]) === "SPECI" : false);
    const { temperatureC, dewPointC } = decoded;
    return toLine({
      stationId: decoded.station,
      at: time.at,
      precipitationMm: hourPrecipitation(decoded, special),
      temperatureC,
      dewPointC,
      relativeHumidityPct:
        temperatureC === null || dewPointC === null ? null : relativeHumidityPct(temperatureC, dewPointC),
      windMs: decoded.windMs,
      thunder: decoded.thunder ? 1 : decoded.noThunderSensor ? null : 0,
      routine: !special,
    });
  };
}
