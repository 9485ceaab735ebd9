import { parseIsoTime } from "../../core/zoned-time.ts";
import { relativeHumidityPct } from "../dew-point.ts";
import { fahrenheitToC, inchesToMm, knotsToMs } from "./hour-fold.ts";
import { decodeMetar } from "./metar.ts";
import { clean, depth, LONGEST_NAME, number, type ToLine, type WeatherReader } from "./reading.ts";

/** ASOS archive CSV, UTC; M missing, T trace; comment lines begin with #. */
export function asos(toLine: ToLine): WeatherReader {
  let at: Map<string, number> | null = null;
  return (cells) => {
    if (clean(cells[0]).startsWith("#")) return null;
    if (!at) {
      at = new Map(cells.map((name, i) => [clean(name).toLowerCase(), i]));
      return null;
    }
    const columns = at;
    const of = (name: string) => cells[columns.get(name) ?? -1];
    const time = parseIsoTime(clean(of("valid")), "UTC");
    if (!time.ok || time.dayOnly) return { reason: time.ok ? "a time of day is needed" : time.reason };
    const stationId = clean(of("station"));
    if (stationId === "" || stationId.length > LONGEST_NAME) return { reason: "the row names no station" };
    const report = decodeMetar(clean(of("metar")));
    const special = report?.special ?? false;
    const t = fahrenheitToC(number(of("tmpf")));
    const dew = fahrenheitToC(number(of("dwpf")));
    const codes = clean(of("wxcodes"));
    return toLine({
      stationId,
      at: time.at,
      precipitationMm: depth(of("p01i"), inchesToMm),
      temperatureC: t,
      dewPointC: dew,
      relativeHumidityPct: number(of("relh")) ?? (t === null || dew === null ? null : relativeHumidityPct(t, dew)),
      windMs: knotsToMs(number(of("sknt"))),
      thunder: codes === "" || codes === "M" ? (report ? (report.thunder ? 1 : 0) : null) : /TS/.test(codes) ? 1 : 0,
      routine: !special,
    });
  };
}
