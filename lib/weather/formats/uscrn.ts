import { parseIsoTime } from "../../core/zoned-time.ts";
import type { ToLine, WeatherReader } from "./reading.ts";

const FIVE_MINUTES = 12;

/** USCRN hourly (38 fields, P_CALC 13th) and sub-hourly (23 fields, five minutes each); times are ends of intervals. */
export function uscrn(toLine: ToLine): WeatherReader {
  const sums = new Map<string, { mm: number; known: number }>();
  return (cells) => {
    const f = cells.join(",").replaceAll("\u0000", "").trim().split(/\s+/);
    const hourly = f.length === 38;
    if (!hourly && f.length !== 23)
      return { reason: `not a USCRN line: ${f.length} fields where there are 38 (hourly) or 23 (sub-hourly)` };
    const [station = "", date = "", clock = ""] = f;
    const time = clock.padStart(4, "0");
    const parsed = parseIsoTime(
      `${date.slice(0, 4)}-${date.slice(4, 6)}-${date.slice(6, 8)}T${time.slice(0, 2)}:${time.slice(2, 4)}Z`,
      "UTC",
    );
    if (!parsed.ok) return { reason: parsed.reason };
    const known = (i: number, missing: number) => (Number(f[i]) <= missing ? null : Number(f[i]));
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

/** Rain of an hour from its twelve parts; until all are known the hour is only known to be wet, or not known. */
function summed(
  sums: Map<string, { mm: number; known: number }>,
  station: string,
  at: number,
  part: number | null,
): number | null {
  const key = `${station}/${Math.ceil(at / 3_600_000)}`;
  const sum = sums.get(key) ?? { mm: 0, known: 0 };
  if (part !== null) {
    sum.mm += part;
    sum.known++;
  }
  sums.set(key, sum);
  if (sums.size > 48) sums.delete(sums.keys().next().value as string);
  return sum.known === FIVE_MINUTES || sum.mm > 0 ? sum.mm : null;
}
