import { normalDeviate, type Rng, seededRng } from "../lib/core/random.ts";

/**
 * Invented hourly weather of an inland territory: rain that sweeps over all stations, afternoon storms that hit some,
 * calm nights that lay dew, wind and season. Nothing here is taken from lib/weather: the demo must not agree with the
 * product's own wetness by construction.
 */
export interface Station {
  stationId: string;
  name: string;
  latitude: number;
  longitude: number;
  elevationM: number;
}

export interface StationSky {
  station: Station;
  /** Epoch ms of the end of hour 0. */
  firstEnd: number;
  rainMm: Float32Array;
  temperatureC: Float32Array;
  dewPointC: Float32Array;
  windMs: Float32Array;
  thunder: Uint8Array;
  /** Hours that the station did not report, to be left out of its file. */
  missing: Uint8Array;
  /** Depth of water on a tilted array as the demo's world has it, mm. */
  waterMm: Float32Array;
  dewy: Uint8Array;
  sunDeg: Float32Array;
}

export const HOUR = 3_600_000;
const DAY = 24 * HOUR;

/** Elevation of the sun by a plain formula (declination as a cosine of the day): good to about a degree. */
export function roughSunDeg(at: number, latitude: number, longitude: number): number {
  const day = (at / DAY) % 365.2422;
  const declination = -23.44 * Math.cos((2 * Math.PI * (day + 10)) / 365.2422) * (Math.PI / 180);
  const hourAngle = ((((at / HOUR) % 24) - 12) * 15 + longitude) * (Math.PI / 180);
  const f = (latitude * Math.PI) / 180;
  return (
    (Math.asin(Math.sin(f) * Math.sin(declination) + Math.cos(f) * Math.cos(declination) * Math.cos(hourAngle)) * 180) /
    Math.PI
  );
}

interface Storm {
  start: number;
  hours: number;
  mmPerHour: number;
  convective: boolean;
}

function storms(rng: Rng, firstEnd: number, hours: number): Storm[] {
  const out: Storm[] = [];
  for (let h = 0; h < hours; h++) {
    const at = firstEnd + h * HOUR;
    const month = new Date(at).getUTCMonth();
    const warm = month >= 4 && month <= 8;
    if (rng() < (warm ? 0.0085 : 0.0105)) {
      out.push({
        start: h,
        hours: 2 + Math.floor(-7 * Math.log(1 - rng())),
        mmPerHour: Math.exp(0.1 + 0.7 * normalDeviate(rng)),
        convective: false,
      });
    }
    const localHour = new Date(at - 6 * HOUR).getUTCHours();
    if (warm && localHour >= 13 && localHour <= 19 && rng() < 0.028) {
      out.push({
        start: h,
        hours: 1 + Math.floor(rng() * 3),
        mmPerHour: Math.exp(1.3 + 0.6 * normalDeviate(rng)),
        convective: true,
      });
    }
  }
  return out;
}

/** The weather of all stations over a span. */
export function makeSkies(seed: string, stations: readonly Station[], firstEnd: number, hours: number): StationSky[] {
  return stations.map(skyMaker(seed, firstEnd, hours));
}

/** The weather of one station after the other, for fleets whose stations do not fit into memory together. */
export function skyMaker(seed: string, firstEnd: number, hours: number): (station: Station) => StationSky {
  const region = storms(seededRng(`${seed}/storms`), firstEnd, hours);
  return (station) => stationSky(station, region, seededRng(`${seed}/sky/${station.stationId}`), firstEnd, hours);
}

function stationSky(station: Station, region: readonly Storm[], rng: Rng, firstEnd: number, hours: number): StationSky {
  const f32 = () => new Float32Array(hours);
  const sky: StationSky = {
    station,
    firstEnd,
    rainMm: f32(),
    temperatureC: f32(),
    dewPointC: f32(),
    windMs: f32(),
    thunder: new Uint8Array(hours),
    missing: new Uint8Array(hours),
    waterMm: f32(),
    dewy: new Uint8Array(hours),
    sunDeg: f32(),
  };
  for (const storm of region) rainOn(sky, storm, rng, hours);
  air(sky, rng, hours);
  for (let h = 0; h < hours; h++) {
    if (rng() < 0.0012) for (let k = h; k < Math.min(hours, h + 1 + Math.floor(rng() * 14)); k++) sky.missing[k] = 1;
  }
  water(sky, hours);
  return sky;
}

function rainOn(sky: StationSky, storm: Storm, rng: Rng, hours: number): void {
  if (rng() > (storm.convective ? 0.5 : 0.88)) return;
  const begins = storm.start + Math.round((rng() - 0.5) * (storm.convective ? 2 : 5));
  const strength = Math.exp(0.4 * normalDeviate(rng));
  for (let k = 0; k < storm.hours; k++) {
    const h = begins + k;
    if (h < 0 || h >= hours || rng() < 0.12) continue;
    const mm = storm.mmPerHour * strength * Math.exp(0.6 * normalDeviate(rng));
    sky.rainMm[h] = Math.min(60, (sky.rainMm[h] as number) + Math.round(mm * 10) / 10);
    if (storm.convective && rng() < 0.75) sky.thunder[h] = 1;
  }
}

function air(sky: StationSky, rng: Rng, hours: number): void {
  let drift = 0;
  let gust = 0;
  let moist = 0;
  for (let h = 0; h < hours; h++) {
    const at = sky.firstEnd + h * HOUR;
    const middle = at - HOUR / 2;
    const sun = roughSunDeg(middle, sky.station.latitude, sky.station.longitude);
    sky.sunDeg[h] = sun;
    const season = Math.cos((2 * Math.PI * (((at / DAY) % 365.2422) - 200)) / 365.2422);
    const local = (((middle / HOUR + sky.station.longitude / 15) % 24) + 24) % 24;
    const swing = Math.cos((2 * Math.PI * (local - 15)) / 24);
    drift = 0.985 * drift + 0.6 * normalDeviate(rng);
    gust = 0.9 * gust + 0.45 * normalDeviate(rng);
    moist = 0.97 * moist + 0.35 * normalDeviate(rng);
    const raining = (sky.rainMm[h] as number) > 0;
    const t = 11.5 + 13 * season + (raining ? 1.5 : 5.5) * swing + drift - (sky.station.elevationM - 300) * 0.0065;
    const spread = raining ? 0.6 : Math.max(0.2, 5.2 + 3.6 * swing - moist + 0.6 * season);
    sky.temperatureC[h] = t;
    sky.dewPointC[h] = t - spread;
    sky.windMs[h] = Math.max(0, 3.1 + 1.5 * swing + gust + (raining ? 1 : 0));
  }
}

/** The demo's own water on the array, with its own constants. */
function water(sky: StationSky, hours: number): void {
  let film = 0;
  for (let h = 0; h < hours; h++) {
    const rain = sky.rainMm[h] as number;
    const sun = sky.sunDeg[h] as number;
    const calmNight =
      sun < -1 &&
      (sky.windMs[h] as number) < 2.6 &&
      (sky.temperatureC[h] as number) - (sky.dewPointC[h] as number) < 1.6;
    if (rain > 0) film = Math.min(1.3, film + rain);
    else if (calmNight) film = Math.min(0.4, film + 0.05);
    else
      film = Math.max(
        0,
        film -
          (sun > 0 ? 0.03 + 0.21 * Math.sin((sun * Math.PI) / 180) : 0.012) * (1 + 0.05 * (sky.windMs[h] as number)),
      );
    sky.waterMm[h] = film;
    let dryFor = 0;
    for (let k = h; k > h - 12 && k >= 0 && (sky.rainMm[k] as number) === 0; k--) dryFor++;
    sky.dewy[h] = film > 0.04 && dryFor >= 12 ? 1 : 0;
  }
}
