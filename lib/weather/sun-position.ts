import type { LatLon } from "../core/earth.ts";
import type { Instant } from "../core/records.ts";

const RAD = Math.PI / 180;

/** Declination and local hour angle of the sun, degrees. */
export interface SunAngles {
  declinationDeg: number;
  /** 0 when the sun is on the meridian, positive in the afternoon, -180 to 180. */
  hourAngleDeg: number;
}

/** Where the sun is at an instant, whoever looks at it: what every place shares. */
export interface SunOfEarth {
  declinationDeg: number;
  /** Right ascension, degrees. */
  ascensionDeg: number;
  /** Sidereal time at Greenwich, degrees, full turns not taken off. */
  siderealDeg: number;
}

/**
 * Apparent position of the sun against the stars.
 *
 * @valid 1970 to 2100; good to about 0.01 degree. Universal time stands in for terrestrial time: the minute between
 *   them moves the sun by 0.0007 degree.
 * @source Meeus, Astronomical Algorithms, 2nd ed., chapters 12, 22 and 25 (low-accuracy series), from memory; checked
 *   against the worked example of NREL/TP-560-34302
 */
export function sunOfEarth(at: Instant): SunOfEarth {
  const days = at / 86_400_000 - 10_957.5; // days since J2000.0
  const t = days / 36_525;
  const meanLongitude = 280.46646 + t * (36_000.76983 + t * 0.0003032);
  const anomaly = (357.52911 + t * (35_999.05029 - 0.0001537 * t)) * RAD;
  const centre =
    (1.914602 - t * (0.004817 + 0.000014 * t)) * Math.sin(anomaly) +
    (0.019993 - 0.000101 * t) * Math.sin(2 * anomaly) +
    0.000289 * Math.sin(3 * anomaly);
  const node = (125.04 - 1934.136 * t) * RAD;
  const longitudeSun = (meanLongitude + centre - 0.00569 - 0.00478 * Math.sin(node)) * RAD;
  const obliquity = (23.4392911 - 0.0130042 * t + 0.00256 * Math.cos(node)) * RAD;
  return {
    declinationDeg: Math.asin(Math.sin(obliquity) * Math.sin(longitudeSun)) / RAD,
    ascensionDeg: Math.atan2(Math.cos(obliquity) * Math.sin(longitudeSun), Math.cos(longitudeSun)) / RAD,
    siderealDeg: 280.46061837 + 360.98564736629 * days + 0.000387933 * t * t,
  };
}

/** Local hour angle of the sun, degrees, -180 to 180. */
export function hourAngleDeg(siderealDeg: number, ascensionDeg: number, longitude: number): number {
  return ((((siderealDeg + longitude - ascensionDeg + 180) % 360) + 360) % 360) - 180;
}

/** Apparent position of the sun against the local meridian. See sunOfEarth. */
export function sunAngles(at: Instant, longitude: number): SunAngles {
  const { declinationDeg, ascensionDeg, siderealDeg } = sunOfEarth(at);
  return { declinationDeg, hourAngleDeg: hourAngleDeg(siderealDeg, ascensionDeg, longitude) };
}

/**
 * Where the sun stands, without refraction (geometric centre of the disc, seen from the earth's centre).
 * @returns elevation above the horizon, and azimuth clockwise from north (0 to 360), degrees
 */
export function sunPosition(at: Instant, where: LatLon): { elevationDeg: number; azimuthDeg: number } {
  const { declinationDeg, hourAngleDeg } = sunAngles(at, where.longitude);
  const h = hourAngleDeg * RAD;
  const d = declinationDeg * RAD;
  const f = where.latitude * RAD;
  const sine = Math.sin(f) * Math.sin(d) + Math.cos(f) * Math.cos(d) * Math.cos(h);
  const azimuth = Math.atan2(Math.sin(h), Math.cos(h) * Math.sin(f) - Math.tan(d) * Math.cos(f)) / RAD + 180;
  return { elevationDeg: Math.asin(Math.max(-1, Math.min(1, sine))) / RAD, azimuthDeg: azimuth % 360 };
}

/** Elevation alone, degrees. */
export function sunElevationDeg(at: Instant, where: LatLon): number {
  const { declinationDeg, hourAngleDeg } = sunAngles(at, where.longitude);
  const d = declinationDeg * RAD;
  const f = where.latitude * RAD;
  const sine = Math.sin(f) * Math.sin(d) + Math.cos(f) * Math.cos(d) * Math.cos(hourAngleDeg * RAD);
  return Math.asin(Math.max(-1, Math.min(1, sine))) / RAD;
}

/**
 * Elevations at `from + i * step`, degrees, over a day or two: the sun is asked for at both ends and moves evenly against the
 * stars between them, which is off by less than 0.002 degree in a day.
 * @param out taken for the answers, from a place on
 */
export function sunElevationsOver(
  from: Instant,
  step: number,
  count: number,
  where: LatLon,
  out: Float64Array,
  place: number,
): void {
  const first = sunOfEarth(from);
  const last = sunOfEarth(from + (count - 1) * step);
  const each = 1 / Math.max(1, count - 1);
  const declination = (last.declinationDeg - first.declinationDeg) * each;
  const sidereal = (last.siderealDeg - first.siderealDeg) * each;
  const ascension = (((((last.ascensionDeg - first.ascensionDeg + 180) % 360) + 360) % 360) - 180) * each;
  const sinLat = Math.sin(where.latitude * RAD);
  const cosLat = Math.cos(where.latitude * RAD);
  for (let i = 0; i < count; i++) {
    const d = (first.declinationDeg + i * declination) * RAD;
    const h = first.siderealDeg + i * sidereal + where.longitude - (first.ascensionDeg + i * ascension);
    const sine = sinLat * Math.sin(d) + cosLat * Math.cos(d) * Math.cos(h * RAD);
    out[place + i] = Math.asin(Math.max(-1, Math.min(1, sine))) / RAD;
  }
}

/** The sun of a run of instants, as every place shares it: the sine and cosine of its declination, and what its hour angle is reckoned from. */
interface EarthRun {
  sinDeclination: Float64Array;
  cosDeclination: Float64Array;
  ascensionDeg: Float64Array;
  siderealDeg: Float64Array;
}

/** The run asked for last: stations of one account cover the same hours. */
let lastRun: { from: Instant; step: number; count: number; run: EarthRun } | null = null;

function earthRun(from: Instant, step: number, count: number): EarthRun {
  if (lastRun?.from === from && lastRun.step === step && lastRun.count === count) return lastRun.run;
  const run: EarthRun = {
    sinDeclination: new Float64Array(count),
    cosDeclination: new Float64Array(count),
    ascensionDeg: new Float64Array(count),
    siderealDeg: new Float64Array(count),
  };
  for (let i = 0; i < count; i++) {
    const { declinationDeg, ascensionDeg, siderealDeg } = sunOfEarth(from + i * step);
    run.sinDeclination[i] = Math.sin(declinationDeg * RAD);
    run.cosDeclination[i] = Math.cos(declinationDeg * RAD);
    run.ascensionDeg[i] = ascensionDeg;
    run.siderealDeg[i] = siderealDeg;
  }
  lastRun = { from, step, count, run };
  return run;
}

/** Elevations at `from + i * step`, degrees: the same as sunElevationDeg gives one by one. */
export function sunElevations(from: Instant, step: number, count: number, where: LatLon): Float32Array {
  const { sinDeclination, cosDeclination, ascensionDeg, siderealDeg } = earthRun(from, step, count);
  const sinLat = Math.sin(where.latitude * RAD);
  const cosLat = Math.cos(where.latitude * RAD);
  const out = new Float32Array(count);
  for (let i = 0; i < count; i++) {
    const angle = hourAngleDeg(siderealDeg[i] as number, ascensionDeg[i] as number, where.longitude);
    const sine =
      sinLat * (sinDeclination[i] as number) + cosLat * (cosDeclination[i] as number) * Math.cos(angle * RAD);
    out[i] = Math.asin(Math.max(-1, Math.min(1, sine))) / RAD;
  }
  return out;
}

/**
 * How much the air lifts the sun, degrees.
 * @param elevationDeg geometric elevation; below the horizon the formula no longer holds and 0 is returned
 * @source NREL/TP-560-34302 equation 42
 */
export function refractionDeg(elevationDeg: number, pressureHpa: number, temperatureC: number): number {
  if (elevationDeg < -0.83337) return 0;
  const bend = 1.02 / (60 * Math.tan((elevationDeg + 10.3 / (elevationDeg + 5.11)) * RAD));
  return (pressureHpa / 1010) * (283 / (273 + temperatureC)) * bend;
}
