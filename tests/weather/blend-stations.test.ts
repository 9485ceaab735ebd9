import { readFileSync } from "node:fs";
import path from "node:path";
import { gunzipSync } from "node:zlib";
import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { HOUR_MS, unknownSeries, type WeatherSeries } from "../../lib/core/weather-series.ts";
import { blendStations, stationAgreement } from "../../lib/weather/blend-stations.ts";
import { surfaceWet } from "../../lib/weather/surface-wetness-rule.ts";
import { wetness } from "../../lib/weather/wetness.ts";

const FILE = path.resolve(import.meta.dirname, "../data/weather/airports-2013.csv.gz");
const FIRST = Date.UTC(2013, 0, 1) / HOUR_MS;
const WHERE = { latitude: 40.7, longitude: -73.9 };

/** The three airports as published; hours that are absent stay unknown, and a wind of 1,048 mph is no wind. */
function airports(): Map<string, WeatherSeries> {
  const out = new Map<string, WeatherSeries>();
  const lines = gunzipSync(readFileSync(FILE)).toString("utf8").trim().split("\n").slice(1);
  for (const line of lines) {
    const [origin = "", time = "", temp, dewp, humid, wind, precip] = line.split(",");
    let s = out.get(origin);
    if (!s) {
      s = unknownSeries(origin, FIRST, 365 * 24);
      out.set(origin, s);
    }
    const i = Date.parse(time) / HOUR_MS - FIRST;
    const value = (text: string | undefined) => (text === "NA" ? Number.NaN : Number(text));
    s.temperatureC[i] = ((value(temp) - 32) * 5) / 9;
    s.dewPointC[i] = ((value(dewp) - 32) * 5) / 9;
    s.relativeHumidityPct[i] = value(humid);
    s.windMs[i] = value(wind) > 250 ? Number.NaN : value(wind) * 0.44704;
    s.precipitationMm[i] = value(precip) * 25.4;
  }
  return out;
}
const NYC = airports();
const of = (name: string) => NYC.get(name) as WeatherSeries;

function kappaOf(truth: WeatherSeries, guess: WeatherSeries, hours: readonly number[]): number {
  const pick = (s: WeatherSeries) => {
    const only = unknownSeries("x", s.firstHour, s.hours);
    for (const i of hours) only.precipitationMm[i] = s.precipitationMm[i] as number;
    return only;
  };
  return stationAgreement(pick(truth), pick(guess)).kappa as number;
}

describe("stationAgreement, on three airports within 35 km in 2013", () => {
  test("trusts each for the others, and none for itself moved by ten days", () => {
    const pairs = [
      ["EWR", "LGA"],
      ["EWR", "JFK"],
      ["JFK", "LGA"],
    ] as const;
    const kappas = pairs.map(([a, b]) => stationAgreement(of(a), of(b)));
    console.log(`kappa: ${pairs.map(([a, b], k) => `${a}-${b} ${kappas[k]?.kappa?.toFixed(2)}`).join(", ")}`);
    for (const k of kappas) expect(k.isTrusted).toBe(true);
    const moved = { ...of("EWR"), firstHour: FIRST + 240 };
    expect(stationAgreement(of("EWR"), moved).isTrusted).toBe(false);
  });

  test("too few shared hours give no agreement and no trust", () => {
    const short = unknownSeries("short", FIRST, 100);
    short.precipitationMm.fill(0);
    expect(stationAgreement(short, of("EWR"))).toMatchObject({ kappa: null, isTrusted: false });
  });
});

describe("blendStations", () => {
  const rng = seededRng("holes");
  const holes = Array.from({ length: of("LGA").hours }, (_, i) => i).filter(
    (i) => !Number.isNaN(of("LGA").precipitationMm[i] as number) && rng() < 0.3,
  );
  const holed: WeatherSeries = { ...of("LGA"), precipitationMm: of("LGA").precipitationMm.slice() };
  for (const i of holes) holed.precipitationMm[i] = Number.NaN;

  test("hours taken out at one airport come back from its neighbours in good agreement with what was there", () => {
    const { series, filled } = blendStations(holed, [of("EWR"), of("JFK")]);
    expect(filled).toBeGreaterThan(0.99 * holes.length);
    const kappa = kappaOf(of("LGA"), series, holes);
    console.log(`kappa of ${holes.length} filled hours against what was taken out: ${kappa.toFixed(2)}`);
    expect(kappa).toBeGreaterThan(0.5);
  });

  test("hours that the first observed stay as it has them, save where both others contradict a dry hour", () => {
    const { series, contradicted } = blendStations(of("LGA"), [of("EWR"), of("JFK")]);
    let changed = 0;
    for (let i = 0; i < series.hours; i++) {
      const before = of("LGA").precipitationMm[i] as number;
      const after = series.precipitationMm[i] as number;
      if (Number.isNaN(before) || before === after) continue;
      expect(before).toBe(0);
      expect(after).toBeNaN();
      changed++;
    }
    expect(changed).toBe(contradicted);
    // Showers do miss a gauge, but seldom one between two that both measured a millimetre.
    expect(contradicted).toBeLessThan(30);
  });

  test("an hour that nobody observed stays unknown, and without others nothing changes", () => {
    const blank = unknownSeries("blank", FIRST, 48);
    expect(blendStations(blank, [unknownSeries("other", FIRST, 48)]).series.precipitationMm.every(Number.isNaN)).toBe(
      true,
    );
    expect(blendStations(of("EWR"), []).series).toBe(of("EWR"));
  });
});

describe("dew films against the published surface-wetness rule, on real hours", () => {
  test("where the rule calls a dry-weather night wet, our film does ten times as often as where it does not", () => {
    const table = { both: 0, onlyRule: 0, onlyFilm: 0, neither: 0 };
    for (const series of NYC.values()) {
      const films = wetness(series, WHERE).wetness;
      for (let i = 0; i < series.hours; i++) {
        const t = series.temperatureC[i] as number;
        const rule = surfaceWet({
          temperatureC: t,
          relativeHumidityPct: series.relativeHumidityPct[i] as number,
          windMs: series.windMs[i] as number,
          dewPointDepressionC: t - (series.dewPointC[i] as number),
        });
        const film = films.wet[i];
        // The rule knows no rain: only hours without a film of rain, and after sunset, are its own.
        const local = (i + 24 - 5) % 24;
        if (rule === null || film === 255 || !((films.rainFilmMm[i] as number) < 0.01) || (local > 8 && local < 20))
          continue;
        if (rule) table[film === 1 ? "both" : "onlyRule"]++;
        else table[film === 1 ? "onlyFilm" : "neither"]++;
      }
    }
    console.log(`dew by rule and by film, hours: ${JSON.stringify(table)}`);
    const wetByRule = table.both / (table.both + table.onlyRule);
    const wetOtherwise = table.onlyFilm / (table.onlyFilm + table.neither);
    expect(wetByRule).toBeGreaterThan(10 * wetOtherwise);
  });
});

test("each element and hour is what the nearest station that knows it says, wherever the series begin and end", () => {
  const rng = seededRng("blend/nearest");
  const made = (stationId: string): WeatherSeries => {
    const s = unknownSeries(stationId, FIRST + Math.floor(rng() * 9), 5 + Math.floor(rng() * 20));
    for (let i = 0; i < s.hours; i++) {
      if (rng() < 0.6) s.temperatureC[i] = rng() * 30;
      if (rng() < 0.6) s.precipitationMm[i] = rng();
      if (rng() < 0.6) s.thunder[i] = rng() < 0.5 ? 0 : 1;
    }
    return s;
  };
  for (let round = 0; round < 200; round++) {
    const all = [made("a"), made("b"), made("c")].slice(0, 2 + (round % 2));
    const [first, ...others] = all as [WeatherSeries, ...WeatherSeries[]];
    const { series } = blendStations(first, others);
    expect(series.firstHour).toBe(Math.min(...all.map((s) => s.firstHour)));
    expect(series.firstHour + series.hours).toBe(Math.max(...all.map((s) => s.firstHour + s.hours)));
    for (let i = 0; i < series.hours; i++) {
      const at = (s: WeatherSeries) => series.firstHour + i - s.firstHour;
      const knows = (name: "temperatureC" | "precipitationMm") =>
        all.map((s) => s[name][at(s)] ?? Number.NaN).find((v) => !Number.isNaN(v)) ?? Number.NaN;
      expect(series.temperatureC[i]).toBe(knows("temperatureC"));
      // Nobody here measures a millimetre, so that no hour is contradicted.
      expect(series.precipitationMm[i]).toBe(knows("precipitationMm"));
      expect(series.thunder[i]).toBe(all.map((s) => s.thunder[at(s)] ?? -1).find((v) => v !== -1) ?? -1);
    }
  }
});
