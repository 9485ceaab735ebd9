import type { LatLon } from "../core/earth.ts";
import { HOUR_MS, type HourIndex } from "../core/weather-series.ts";
import { ENERGIZED_ELEVATION_DEG } from "../weather/solar-time.ts";
import { sunAngles } from "../weather/sun-position.ts";

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

/**
 * The same answers as the sun's position hour by hour, from its position once a day: within a day its declination and
 * its lead over the clock are taken as straight lines, which moves it by less than 0.01 degree.
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
  let from = sunAngles(day * DAY * HOUR_MS, where.longitude);
  for (let i = 0; i < hours; day++) {
    const to = sunAngles((day + 1) * DAY * HOUR_MS, where.longitude);
    const date = new Date(day * DAY * HOUR_MS);
    const month = (date.getUTCFullYear() - 1970) * 12 + date.getUTCMonth();
    const drift = ((((to.hourAngleDeg - from.hourAngleDeg + 180) % 360) + 360) % 360) - 180;
    const last = Math.min(hours, (day + 1) * DAY - firstHour + 1);
    for (; i < last; i++) {
      const t = firstHour + i - 0.5 - day * DAY;
      const turned = from.hourAngleDeg + 15 * t + (drift * t) / DAY + 180;
      const declination = (from.declinationDeg + ((to.declinationDeg - from.declinationDeg) * t) / DAY) * RAD;
      const sine = sinLat * Math.sin(declination) - cosLat * Math.cos(declination) * Math.cos(turned * RAD);
      if (sine > limit) out.lit[i] = 1;
      out.stratum[i] = (Math.floor(turned / 15) % DAY) * 12 + (month % 12);
      out.month[i] = month;
    }
    from = to;
  }
  return out;
}
