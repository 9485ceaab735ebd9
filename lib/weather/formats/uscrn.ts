import { parseIsoTime } from "../../core/zoned-time.ts";
import { LONGEST_NAME, type ToLine, type WeatherReader } from "./reading.ts";

const FIVE_MINUTES = 12;
/** Hours whose parts are still added to; older ones are let go, so that a file of any length needs little memory. */
const OPEN_HOURS = 48;

/** USCRN hourly (38 fields, P_CALC 13th) and sub-hourly (23 fields, five minutes each); times are ends of intervals. */
export function uscrn(toLine: ToLine): WeatherReader {
  const sums = new Map<string, Map<number, number>>();
  return (cells) => {
    const f = cells.join(",").replaceAll("\u0000", "").trim().split(/\s+/);
    const hourly = f.length === 38;
    if (!hourly && f.length !== 23)
      return { reason: `not a USCRN line: ${f.length} fields where there are 38 (hourly) or 23 (sub-hourly)` };
    const [station = "", date = "", clock = ""] = f;
    if (station.length > LONGEST_NAME) return { reason: "the line names no station" };
    const time = clock.padStart(4, "0");
    const parsed = parseIsoTime(
      `${date.slice(0, 4)}-${date.slice(4, 6)}-${date.slice(6, 8)}T${time.slice(0, 2)}:${time.slice(2, 4)}Z`,
      "UTC",
    );
    if (!parsed.ok) return { reason: parsed.reason };
    const known = (i: number, missing: number) => {
      const n = Number(f[i]);
      return Number.isFinite(n) && n > missing ? n : null;
    };
    const base = { stationId: station, at: parsed.at, dewPointC: null, thunder: null, routine: true };
    if (hourly) {
      return toLine({
        ...base,
        precipitationMm: known(12, -99),
        temperatureC: known(9, -999),
        relativeHumidityPct: known(26, -99),
        windMs: null,
      });
    }
    return toLine({
      ...base,
      precipitationMm: summed(sums, station, parsed.at, known(9, -99)),
      temperatureC: known(8, -999),
      relativeHumidityPct: known(15, -99),
      windMs: known(21, -9),
    });
  };
}

/**
 * Rain of an hour from its twelve parts; until all are known the hour is only known to be wet, or not known. A part that
 * the file holds twice counts once.
 */
function summed(
  sums: Map<string, Map<number, number>>,
  station: string,
  at: number,
  part: number | null,
): number | null {
  const key = `${station}/${Math.ceil(at / 3_600_000)}`;
  const parts = sums.get(key) ?? new Map<number, number>();
  if (part !== null && part >= 0) parts.set(at, part);
  sums.set(key, parts);
  if (sums.size > OPEN_HOURS) sums.delete(sums.keys().next().value as string);
  let mm = 0;
  for (const value of parts.values()) mm += value;
  return parts.size === FIVE_MINUTES || mm > 0 ? mm : null;
}
