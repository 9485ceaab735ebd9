import { parseIsoTime, standardOffsetMs } from "../../core/zoned-time.ts";
import { fahrenheitToC, inchesToMm, type Met, meet, mphToMs } from "./hour-fold.ts";
import { clean, depth, number, type ReaderOptions, type ToLine, type WeatherReader } from "./reading.ts";

const LCD_ELEMENTS = [
  "HourlyPrecipitation",
  "HourlyDryBulbTemperature",
  "HourlyDewPointTemperature",
  "HourlyRelativeHumidity",
  "HourlyWindSpeed",
] as const;

/** LCD: local standard time all year; version 1 in US units, version 2 metric with coordinates in its header. */
export function lcd({ zoneOf }: ReaderOptions, toLine: ToLine, met: Met): WeatherReader {
  let at: Map<string, number> | null = null;
  return (cells) => {
    if (!at) {
      // REPORT_TYPE and SOURCE stand twice in the header of version 1: the first is the row's own.
      at = new Map(cells.map((name, i) => [clean(name).toUpperCase(), i] as const).reverse());
      return null;
    }
    const columns = at;
    const of = (name: string) => cells[columns.get(name.toUpperCase()) ?? -1];
    const metric = columns.has("LATITUDE");
    const type = clean(of("REPORT_TYPE"));
    if (type !== "FM-15" && type !== "FM-16")
      return { reason: `report type ${type || "(none)"} is no hourly observation` };
    const stationId = clean(of("STATION"));
    const zone = zoneOf(stationId);
    if (zone === null)
      return {
        reason: `times are local standard time and the zone of station ${stationId} is not known; give time_zone in stations.csv`,
      };
    const wall = parseIsoTime(`${clean(of("DATE"))}Z`, "UTC");
    if (!wall.ok) return { reason: wall.reason };
    for (const name of LCD_ELEMENTS)
      if (/\ds$/i.test(clean(of(name)))) meet(met, "values flagged suspect, used as reported");
    const t = number(of("HourlyDryBulbTemperature"));
    const dew = number(of("HourlyDewPointTemperature"));
    const wind = number(of("HourlyWindSpeed"));
    const weather = clean(of("HourlyPresentWeatherType"));
    return toLine({
      stationId,
      at: wall.at - standardOffsetMs(zone, wall.at),
      precipitationMm: depth(of("HourlyPrecipitation"), metric ? (n) => n : inchesToMm),
      temperatureC: metric ? t : fahrenheitToC(t),
      dewPointC: metric ? dew : fahrenheitToC(dew),
      relativeHumidityPct: number(of("HourlyRelativeHumidity")),
      windMs: metric ? wind : mphToMs(wind),
      thunder: weather === "" ? null : /TS/.test(weather.replace(/VCTS/g, "TS")) ? 1 : 0,
      routine: type === "FM-15",
    });
  };
}
