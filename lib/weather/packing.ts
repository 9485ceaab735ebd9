import { HOUR_MS, type HourIndex, type Thunder, unknownSeries, type WeatherSeries } from "../core/weather-series.ts";

/** Stored for an hour that was not observed. */
const UNKNOWN = -32_768;
/** Stored units per unit: two decimals of mm, °C, % and m/s. */
const SCALE = 100;

/** One station and UTC month, each element as packed little-endian int16 (thunder int8), first hour of the month first. */
export interface PackedMonth {
  precipitation: Uint8Array;
  temperature: Uint8Array;
  dewPoint: Uint8Array;
  humidity: Uint8Array;
  wind: Uint8Array;
  thunder: Uint8Array;
}

const ELEMENTS = [
  ["precipitation", "precipitationMm"],
  ["temperature", "temperatureC"],
  ["dewPoint", "dewPointC"],
  ["humidity", "relativeHumidityPct"],
  ["wind", "windMs"],
] as const;

/**
 * The month that an hour belongs to: that of the time in it, so the hour that ends at the first midnight of a month
 * is the last of the month before.
 */
export function monthOf(hour: HourIndex): { month: string; firstHour: HourIndex; hours: number } {
  const inside = new Date(hour * HOUR_MS - 1);
  return monthSpan(inside.getUTCFullYear(), inside.getUTCMonth());
}

function monthSpan(year: number, month: number): { month: string; firstHour: HourIndex; hours: number } {
  const begins = Date.UTC(year, month, 1) / HOUR_MS;
  const ends = Date.UTC(year, month + 1, 1) / HOUR_MS;
  return { month: `${year}-${String(month + 1).padStart(2, "0")}`, firstHour: begins + 1, hours: ends - begins };
}

/**
 * Pack the hours of one month; hours outside the series are unknown.
 * @param month `YYYY-MM`
 * @throws RangeError when a value does not fit (beyond about 327 in its unit)
 */
export function packMonth(series: WeatherSeries, month: string): PackedMonth {
  const { firstHour, hours } = spanOfMonth(month);
  const shift = firstHour - series.firstHour;
  const packed = Object.fromEntries(
    ELEMENTS.map(([stored, name]) => [stored, packElement(series[name], shift, hours, name)]),
  ) as Omit<PackedMonth, "thunder">;
  const thunder = new Int8Array(hours).fill(-1);
  for (let i = 0; i < hours; i++) thunder[i] = series.thunder[i + shift] ?? -1;
  return { ...packed, thunder: new Uint8Array(thunder.buffer) };
}

function packElement(values: Float32Array, shift: number, hours: number, name: string): Uint8Array {
  const bytes = new Uint8Array(hours * 2);
  const view = new DataView(bytes.buffer);
  for (let i = 0; i < hours; i++) {
    const value = values[i + shift];
    const stored = value === undefined || Number.isNaN(value) ? UNKNOWN : Math.round(value * SCALE);
    if (stored < UNKNOWN || stored > 32_767) throw new RangeError(`packMonth cannot hold ${name} ${value}`);
    view.setInt16(i * 2, stored, true);
  }
  return bytes;
}

function spanOfMonth(month: string): { month: string; firstHour: HourIndex; hours: number } {
  const m = /^(\d{4})-(\d{2})$/.exec(month);
  if (!m) throw new RangeError(`a month is YYYY-MM, got "${month}"`);
  return monthSpan(Number(m[1]), Number(m[2]) - 1);
}

/**
 * Join stored months into one series without gaps; months not stored are unknown hours.
 * @param months any order, each month once
 * @throws RangeError when there is no month, or one has the wrong length
 */
export function unpackMonths(stationId: string, months: readonly (PackedMonth & { month: string })[]): WeatherSeries {
  const spans = months.map((m) => ({ packed: m, ...spanOfMonth(m.month) }));
  if (spans.length === 0) throw new RangeError("unpackMonths requires at least 1 month");
  const firstHour = Math.min(...spans.map((s) => s.firstHour));
  const end = Math.max(...spans.map((s) => s.firstHour + s.hours));
  const series = unknownSeries(stationId, firstHour, end - firstHour);
  for (const { packed, firstHour: from, hours } of spans) {
    for (const [stored, name] of ELEMENTS) unpackElement(packed[stored], series[name], from - firstHour, hours);
    if (packed.thunder.length !== hours)
      throw new RangeError(`month ${packed.month} holds ${packed.thunder.length} hours, not ${hours}`);
    for (let i = 0; i < hours; i++)
      series.thunder[from - firstHour + i] = (((packed.thunder[i] as number) << 24) >> 24) as Thunder;
  }
  return series;
}

function unpackElement(bytes: Uint8Array, into: Float32Array, at: number, hours: number): void {
  if (bytes.length !== hours * 2) throw new RangeError(`a packed month holds ${bytes.length / 2} hours, not ${hours}`);
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  for (let i = 0; i < hours; i++) {
    const stored = view.getInt16(i * 2, true);
    into[at + i] = stored === UNKNOWN ? Number.NaN : stored / SCALE;
  }
}
