import { TRACE_MM } from "./hour-fold.ts";
import type { ReaderOptions, ToLine, WeatherReader } from "./reading.ts";

const NO_STATION = { reason: "the file does not name its station; give it with --station" };

/** ISD-Lite: fixed columns, hour UTC, tenths, -9999 missing, -1 a trace. */
export function isdLite({ stationId, fileName }: ReaderOptions, toLine: ToLine): WeatherReader {
  const named = /(\d{6}-\d{5})/.exec(fileName)?.[1] ?? stationId;
  return (cells) => {
    const f = cells.join(",").trim().split(/\s+/).map(Number);
    if (f.length < 12 || f.some((n) => !Number.isFinite(n))) return { reason: "not an ISD-Lite line (twelve numbers)" };
    if (named === null) return NO_STATION;
    const [year = 0, month = 0, day = 0, hour = 0] = f;
    const at = Date.UTC(year, month - 1, day, hour);
    const back = new Date(at);
    const same = back.getUTCFullYear() === year && back.getUTCMonth() === month - 1 && back.getUTCDate() === day;
    if (!same || back.getUTCHours() !== hour) return { reason: "no such date or hour" };
    const tenth = (i: number) => (f[i] === -9999 ? null : (f[i] as number) / 10);
    const rain = f[10] === -1 ? TRACE_MM : tenth(10);
    return toLine({
      stationId: named,
      at,
      precipitationMm: rain,
      temperatureC: tenth(4),
      dewPointC: tenth(5),
      relativeHumidityPct: null,
      windMs: tenth(8),
      thunder: null,
      routine: true,
    });
  };
}
