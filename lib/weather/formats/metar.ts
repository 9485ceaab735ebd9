import { inchesToMm, knotsToMs, TRACE_MM } from "./hour-fold.ts";

/** What a METAR or SPECI report says that bears on an array. */
export interface DecodedMetar {
  station: string;
  /** Day of the month and time of day, UTC. */
  day: number;
  hour: number;
  minute: number;
  special: boolean;
  /** The station tells kinds of precipitation apart and so has a gauge (AO2), or not (AO1); null: not said. */
  automatic: "AO1" | "AO2" | null;
  /** Sensor outages that the report names. */
  noRainGauge: boolean;
  noThunderSensor: boolean;
  windMs: number | null;
  temperatureC: number | null;
  dewPointC: number | null;
  /** Present weather groups at the station, without vicinity. */
  weather: string[];
  /** Precipitation of the hour so far from the P group, mm; a trace is 0.05; null: no group. */
  hourlyMm: number | null;
  /** Thunder at the station or in its vicinity, or lightning that the remarks report near. */
  thunder: boolean;
}

const WEATHER =
  /^(\+|-|VC)?(MI|PR|BC|DR|BL|SH|TS|FZ)?(DZ|RA|SN|SG|IC|PL|GR|GS|UP|BR|FG|FU|VA|DU|SA|HZ|PY|PO|SQ|FC|SS|DS)*$/;
const PRECIPITATION = /(DZ|RA|SN|SG|IC|PL|GR|GS|UP)/;

/**
 * Decode a report by FMH-1 (Federal Meteorological Handbook No. 1, FCM-H1-1995).
 * @returns null when the text is no report: no station and time, or NIL
 */
export function decodeMetar(text: string): DecodedMetar | null {
  const clean = withoutEnd(text.trim()).replace(/\s+/g, " ");
  const m = /^(METAR |SPECI )?(?:COR )?([A-Z][A-Z0-9]{3}) (?:COR )?(\d{2})(\d{2})(\d{2})Z\b ?(.*)$/.exec(clean);
  if (!m) return null;
  const [, type, station, day, hour, minute, rest = ""] = m;
  if (
    /^(COR |AUTO )*NIL\b/.test(rest) ||
    Number(hour) > 23 ||
    Number(minute) > 59 ||
    Number(day) < 1 ||
    Number(day) > 31
  )
    return null;
  const [all = "", remarks = ""] = splitRemarks(rest);
  const body = withoutTrend(all);
  const groups = body.split(" ");
  const weather = groups.filter((g) => g.length >= 2 && WEATHER.test(g));
  const [temperatureC, dewPointC] = temperatures(groups, remarks);
  return {
    station: station as string,
    day: Number(day),
    hour: Number(hour),
    minute: Number(minute),
    special: type === "SPECI ",
    automatic: /\bA[O0]2A?\b/.test(remarks) ? "AO2" : /\bA[O0]1A?\b/.test(remarks) ? "AO1" : null,
    noRainGauge: /\bPNO\b/.test(remarks),
    noThunderSensor: /\bTSNO\b/.test(remarks),
    windMs: wind(groups),
    temperatureC,
    dewPointC,
    weather: weather.filter((g) => !g.startsWith("VC")),
    hourlyMm: hourlyPrecipitation(remarks),
    thunder: weather.some((g) => g.includes("TS")),
  };
}

/** Without the equals signs that end a report; by hand, because `/=+$/` takes quadratic time over a run of them. */
function withoutEnd(text: string): string {
  let end = text.length;
  while (end > 0 && text.charCodeAt(end - 1) === 61) end--;
  return text.slice(0, end);
}

function splitRemarks(rest: string): [string, string] {
  const at = rest.search(/\bRMK\b/);
  return at < 0 ? [rest, ""] : [rest.slice(0, at).trim(), rest.slice(at + 3).trim()];
}

/** What stations outside the United States forecast for the next two hours is not weather that was observed. */
function withoutTrend(body: string): string {
  const at = body.search(/\b(TEMPO|BECMG|INTER|PROB\d{2})\b/);
  return at < 0 ? body : body.slice(0, at).trim();
}

function wind(groups: readonly string[]): number | null {
  for (const g of groups) {
    const m = /^(?:\d{3}|VRB)(\d{2,3})(?:G\d{2,3})?(KT|MPS|KMH)$/.exec(g);
    if (!m) continue;
    const speed = Number(m[1]);
    return m[2] === "MPS" ? speed : m[2] === "KMH" ? speed / 3.6 : knotsToMs(speed);
  }
  return null;
}

/** The T group of the remarks to a tenth where there is one, else the body to a degree. */
function temperatures(groups: readonly string[], remarks: string): [number | null, number | null] {
  const tenth = (sign: string | undefined, digits: string | undefined) =>
    digits === undefined ? null : ((sign === "1" ? -1 : 1) * Number(digits)) / 10;
  const t = /\bT([01])(\d{3})(?:([01])(\d{3}))?\b/.exec(remarks);
  if (t) return [tenth(t[1], t[2]), tenth(t[3], t[4])];
  for (const g of groups) {
    const m = /^(M?\d{2})\/(M?\d{2}|\/\/|XX)?$/.exec(g);
    if (!m) continue;
    const whole = (s: string | undefined) =>
      s === undefined || s === "//" || s === "XX" ? null : Number(s.replace("M", "-"));
    return [whole(m[1]), whole(m[2])];
  }
  return [null, null];
}

/** P group: hundredths of an inch since the last routine report; P0000 is a trace. */
function hourlyPrecipitation(remarks: string): number | null {
  const m = /\bP(\d{4})\b/.exec(remarks);
  if (!m) return null;
  return Number(m[1]) === 0 ? TRACE_MM : inchesToMm(Number(m[1]) / 100);
}

/**
 * Precipitation that a report gives for its hour. With a P group that; without one a routine report of a station with a
 * gauge means none, unless its own present weather says otherwise. Without a gauge present weather tells wet (amount
 * unknown, taken as a trace) from dry. A special without a P group says nothing of the hour.
 */
export function hourPrecipitation(m: DecodedMetar, special: boolean): number | null {
  if (m.hourlyMm !== null) return m.hourlyMm;
  const falling = m.weather.some((g) => PRECIPITATION.test(g));
  if (falling) return TRACE_MM;
  if (special) return null;
  if (m.automatic === "AO2") return m.noRainGauge ? null : 0;
  return m.weather.length > 0 || m.automatic === "AO1" || m.automatic === null ? 0 : null;
}
