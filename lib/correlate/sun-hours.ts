import type { LatLon } from "../core/earth.ts";
import { HOUR_MS, type HourIndex } from "../core/weather-series.ts";
import { ENERGIZED_ELEVATION_DEG } from "../weather/solar-time.ts";
import { hourAngleDeg, type SunOfEarth, sunOfEarth } from "../weather/sun-position.ts";

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

/** The sun at midnight of a day since 1970, as every place shares it. */
const midnights = new Map<number, SunOfEarth>();
/** Days kept; sixty years of them. */
const MOST_MIDNIGHTS = 22_000;

function sunAtMidnight(day: number): SunOfEarth {
  let sun = midnights.get(day);
  if (!sun) {
    sun = sunOfEarth(day * DAY * HOUR_MS);
    if (midnights.size >= MOST_MIDNIGHTS) midnights.clear();
    midnights.set(day, sun);
  }
  return sun;
}

/** The declination moves by 0.4 degree a day at most: by no more than this from its middle, in sines, with room. */
const MOST_OFF = 0.006;

/**
 * The same answers as the sun's position hour by hour, from its position once a day: within a day its declination and
 * its lead over the clock are taken as straight lines, which moves it by less than 0.01 degree. Where the sun stands well
 * clear of the limit, its declination of noon is enough to tell on which side.
 */
export function sunHours(firstHour: HourIndex, hours: number, where: LatLon): SunHours {
  const out: SunHours = {
    lit: new Uint8Array(hours),
    stratum: new Uint16Array(hours),
    month: new Uint16Array(hours),
  };
  const limit = Math.sin(ENERGIZED_ELEVATION_DEG * RAD);
  const sinLat = Math.sin(where.latitude * RAD);
  const cosLat = Math.cos(where.latitude * RAD);
  // The hour that ends at h lies in the day of its beginning.
  let day = Math.floor((firstHour - 1) / DAY);
  let sun = sunAtMidnight(day);
  let angle = hourAngleDeg(sun.siderealDeg, sun.ascensionDeg, where.longitude);
  for (let i = 0; i < hours; day++) {
    const next = sunAtMidnight(day + 1);
    const nextAngle = hourAngleDeg(next.siderealDeg, next.ascensionDeg, where.longitude);
    const date = new Date(day * DAY * HOUR_MS);
    const month = (date.getUTCFullYear() - 1970) * 12 + date.getUTCMonth();
    const drift = ((((nextAngle - angle + 180) % 360) + 360) % 360) - 180;
    const last = Math.min(hours, (day + 1) * DAY - firstHour + 1);
    const ofYear = month % 12;
    out.month.fill(month, i, last);
    const atNoon = ((sun.declinationDeg + next.declinationDeg) / 2) * RAD;
    const aroundSine = sinLat * Math.sin(atNoon) - limit;
    const aroundCosine = cosLat * Math.cos(atNoon);
    // The hour angle turns evenly through the day: its cosine by the sum of two angles.
    const step = (15 + drift / DAY) * RAD;
    const [cosStep, sinStep] = [Math.cos(step), Math.sin(step)];
    const start = (angle + (15 + drift / DAY) * (firstHour + i - 0.5 - day * DAY) + 180) * RAD;
    let [cos, sin] = [Math.cos(start), Math.sin(start)];
    for (; i < last; i++) {
      const t = firstHour + i - 0.5 - day * DAY;
      const turned = angle + 15 * t + (drift * t) / DAY + 180;
      const about = aroundSine - aroundCosine * cos;
      if (about > MOST_OFF) out.lit[i] = 1;
      else if (about > -MOST_OFF) {
        const declination = (sun.declinationDeg + ((next.declinationDeg - sun.declinationDeg) * t) / DAY) * RAD;
        const sine = sinLat * Math.sin(declination) - cosLat * Math.cos(declination) * Math.cos(turned * RAD);
        if (sine > limit) out.lit[i] = 1;
      }
      // Never below zero, so that cutting the fraction off is the floor.
      out.stratum[i] = (((turned / 15) | 0) % DAY) * 12 + ofYear;
      const before = cos;
      cos = before * cosStep - sin * sinStep;
      sin = sin * cosStep + before * sinStep;
    }
    sun = next;
    angle = nextAngle;
  }
  return out;
}
