import type { LatLon } from "../core/earth.ts";
import { HOUR_MS, type HourIndex } from "../core/weather-series.ts";
import { ENERGIZED_ELEVATION_DEG } from "../weather/solar-time.ts";
import { hourAngleDeg, type SunOfEarth, sunOfEarth } from "../weather/sun-position.ts";
import { type HourRooms, NEW_ROOMS } from "./hour-rooms.ts";

const DAY = 24;
const RAD = Math.PI / 180;
export const STRATA = DAY * 12;

/** Sun and calendar of a run of hours, each taken at the middle of the hour. */
export interface SunHours {
  /** 1 where the sun is high enough to energise the array. */
  lit: Uint8Array;
  /** Solar hour (0 to 23) x 12 + calendar month (0 to 11): hours alike in season and time of day. */
  stratum: Uint16Array;
  /** UTC months since January 1970. */
  month: Uint16Array;
}

/** The sun at the midnights of a run of days, as every place shares it, with what each day makes of it. */
interface Midnights {
  firstDay: number;
  suns: SunOfEarth[];
  /** By day, with the midnight after it: sine and cosine of the declination of noon. */
  sinNoon: Float64Array;
  cosNoon: Float64Array;
  /** UTC months since January 1970. */
  month: Int32Array;
}

let known: Midnights = midnightsOf(0, 0);

function midnightsOf(firstDay: number, days: number): Midnights {
  const suns = Array.from({ length: days + 1 }, (_, k) => sunOfEarth((firstDay + k) * DAY * HOUR_MS));
  const noon = (k: number) =>
    (((suns[k] as SunOfEarth).declinationDeg + (suns[k + 1] as SunOfEarth).declinationDeg) / 2) * RAD;
  return {
    firstDay,
    suns,
    sinNoon: Float64Array.from({ length: days }, (_, k) => Math.sin(noon(k))),
    cosNoon: Float64Array.from({ length: days }, (_, k) => Math.cos(noon(k))),
    month: Int32Array.from({ length: days }, (_, k) => {
      const date = new Date((firstDay + k) * DAY * HOUR_MS);
      return (date.getUTCFullYear() - 1970) * 12 + date.getUTCMonth();
    }),
  };
}

/** Midnights that hold a run of days: those asked for last where they do, for the logs of one account cover the same years. */
function midnightsOver(firstDay: number, days: number): Midnights {
  const until = firstDay + days;
  const knownUntil = known.firstDay + known.month.length;
  if (firstDay < known.firstDay || until > knownUntil) {
    const isNear = known.month.length > 0 && firstDay <= knownUntil && until >= known.firstDay;
    const from = isNear ? Math.min(firstDay, known.firstDay) : firstDay;
    known = midnightsOf(from, (isNear ? Math.max(until, knownUntil) : until) - from);
  }
  return known;
}

/** The declination moves by 0.4 degree a day at most: by no more than this from its middle, in sines, with room. */
const MOST_OFF = 0.006;
/** Within a day the sun gains or loses less than this share of an hour on the clock. */
const MOST_DRIFT_HOURS = 0.02;
/** Steps of an hour that are looked at one by one on either side of a bound, for rounding. */
const ROUNDING_STEPS = 1e-6;

/**
 * The same answers as the sun's position hour by hour, from its position once a day: within a day its declination and
 * its lead over the clock are taken as straight lines, which moves it by less than 0.01 degree. Where the sun stands well
 * clear of the limit, its declination of noon is enough to tell on which side: between which angles that is so is asked
 * once a day.
 */
export function sunHours(firstHour: HourIndex, hours: number, where: LatLon, rooms: HourRooms = NEW_ROOMS): SunHours {
  const out: SunHours = {
    lit: rooms.bytes(hours),
    stratum: rooms.words(hours),
    month: rooms.words(hours),
  };
  const sinLat = Math.sin(where.latitude * RAD);
  const cosLat = Math.cos(where.latitude * RAD);
  // The hour that ends at h lies in the day of its beginning.
  const firstDay = Math.floor((firstHour - 1) / DAY);
  const days = Math.ceil((firstHour - 1 + hours) / DAY) - firstDay;
  const midnights = midnightsOver(firstDay, days);
  const { suns, sinNoon, cosNoon, month } = midnights;
  const from = firstDay - midnights.firstDay;
  let sun = suns[from] as SunOfEarth;
  let angle = hourAngleDeg(sun.siderealDeg, sun.ascensionDeg, where.longitude);
  for (let d = from; d < from + days; d++) {
    const next = suns[d + 1] as SunOfEarth;
    const nextAngle = hourAngleDeg(next.siderealDeg, next.ascensionDeg, where.longitude);
    const drift = inHalfTurns(nextAngle - angle);
    // Place of the day's first hour, which may lie before the run.
    const begins = (midnights.firstDay + d) * DAY + 1 - firstHour;
    const first = begins < 0 ? -begins : 0;
    const last = Math.min(hours - begins, DAY);
    layStrata(out, begins, first, last, angle, drift, month[d] as number);
    // Sine of its elevation less the limit, by the declination of noon: `over` less `swing` times the cosine of the angle turned.
    const over = sinLat * (sinNoon[d] as number) - LIMIT;
    const swing = cosLat * (cosNoon[d] as number);
    const step = 15 + drift / DAY;
    const start = turnedAt(angle, drift, 0);
    // Angle from midnight beyond which the sun is surely up, and below which it is surely down.
    const up = angleOf((over - MOST_OFF) / swing);
    const down = angleOf((over + MOST_OFF) / swing);
    for (let turn = start > 360 ? 360 : 0; turn + down <= start + 24 * step; turn += 360) {
      const rises = Math.max(first, Math.ceil((turn + down - start) / step - ROUNDING_STEPS));
      const sets = Math.min(last - 1, Math.floor((turn + 360 - down - start) / step + ROUNDING_STEPS));
      const risen = Math.max(first, Math.ceil((turn + up - start) / step + ROUNDING_STEPS));
      const stands = Math.min(last - 1, Math.floor((turn + 360 - up - start) / step - ROUNDING_STEPS));
      for (let h = rises; h <= sets; h++)
        if ((h >= risen && h <= stands) || isLit(sun, next, sinLat, cosLat, h, turnedAt(angle, drift, h)))
          out.lit[begins + h] = 1;
    }
    sun = next;
    angle = nextAngle;
  }
  return out;
}

const LIMIT = Math.sin(ENERGIZED_ELEVATION_DEG * RAD);

/** The angle of a cosine, degrees; beyond its ends the nearest one. */
const angleOf = (cosine: number): number => (cosine >= 1 ? 0 : cosine <= -1 ? 180 : Math.acos(cosine) / RAD);

/** Degrees from -180 to 180, of at most a turn and a half. */
const inHalfTurns = (deg: number): number => ((((deg + 180) % 360) + 360) % 360) - 180;

/** Half a turn and the hour angle in the middle of an hour of the day, degrees. */
function turnedAt(angle: number, drift: number, hour: number): number {
  const t = hour + 0.5;
  return angle + 15 * t + (drift * t) / DAY + 180;
}

/** Solar hours follow one another, so the first tells the rest; where the drift may skip one, each is asked. */
function layStrata(
  { stratum, month }: SunHours,
  begins: number,
  first: number,
  last: number,
  angle: number,
  drift: number,
  ofMonth: number,
): void {
  const ofYear = ofMonth % 12;
  const hour = (angle + 180) / 15 + 0.5;
  const past = hour - Math.floor(hour);
  const isSteady = past >= MOST_DRIFT_HOURS && past <= 1 - MOST_DRIFT_HOURS;
  let at = ((Math.floor(hour) + first) % DAY) * 12 + ofYear;
  for (let h = first; h < last; h++) {
    // Never below zero, so that cutting the fraction off is the floor.
    stratum[begins + h] = isSteady ? at : (((turnedAt(angle, drift, h) / 15) | 0) % DAY) * 12 + ofYear;
    month[begins + h] = ofMonth;
    at += 12;
    if (at >= STRATA) at -= STRATA;
  }
}

function isLit(
  sun: SunOfEarth,
  next: SunOfEarth,
  sinLat: number,
  cosLat: number,
  hour: number,
  turnedDeg: number,
): boolean {
  const t = hour + 0.5;
  const declination = (sun.declinationDeg + ((next.declinationDeg - sun.declinationDeg) * t) / DAY) * RAD;
  const sine = sinLat * Math.sin(declination) - cosLat * Math.cos(declination) * Math.cos(turnedDeg * RAD);
  return sine > LIMIT;
}
