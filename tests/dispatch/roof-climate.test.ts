import { describe, expect, test } from "vitest";
import { HOUR_MS, unknownSeries, type WeatherSeries } from "../../lib/core/weather-series.ts";
import { climateHours, forecastFilm, type RoofPast, roofPast } from "../../lib/dispatch/routes/roof-climate.ts";
import { roofRefusal } from "../../lib/dispatch/routes/working-windows.ts";

const WHERE = { latitude: 41, longitude: -93 };
const START = Date.UTC(2024, 0, 1) / HOUR_MS;
const utcHour = (hour: number) => new Date(hour * HOUR_MS).getUTCHours();
const dayOf = (hour: number) => Math.floor(hour / 24);

/** Two dry, mild, breezy years, changed hour by hour where asked. */
function years(change: (s: WeatherSeries, i: number, hour: number) => void): WeatherSeries {
  const hours = 2 * 366 * 24;
  const s = unknownSeries("X", START, hours);
  for (let i = 0; i < hours; i++) {
    s.precipitationMm[i] = 0;
    s.temperatureC[i] = 15;
    s.dewPointC[i] = 0;
    s.windMs[i] = 4;
    s.thunder[i] = 0;
    change(s, i, START + i);
  }
  return s;
}

const at = (past: RoofPast, iso: string) => {
  const hour = Date.parse(iso) / HOUR_MS;
  return climateHours(past, hour, hour)[0] as ReturnType<typeof climateHours>[number];
};

describe("climateHours", () => {
  test("counts how often each hour of a month was unfit", () => {
    const past = roofPast(
      years((s, i, hour) => {
        const month = new Date(hour * HOUR_MS).getUTCMonth();
        // In June it rains at 20 UTC on every other day; in May it blows at 18 UTC on two days of five.
        if (month === 5 && utcHour(hour) === 20 && dayOf(hour) % 2 === 0) s.precipitationMm[i] = 3;
        if (month === 4 && utcHour(hour) === 18 && dayOf(hour) % 5 < 2) s.windMs[i] = 9;
        if (month === 0) s.temperatureC[i] = dayOf(hour) % 2 === 0 ? -4 : 6;
      }),
      WHERE,
    );
    const june = at(past, "2026-06-10T20:00:00Z");
    expect(june.rainProbability).toBeCloseTo(0.5, 1);
    expect(june.basis).toBe("past_years");
    expect(roofRefusal(june)).toBe("rain in past years");
    // The rain of one afternoon in two still lies an hour later.
    expect(at(past, "2026-06-10T21:00:00Z").filmMm).toBeGreaterThan(0.05);
    expect(at(past, "2026-05-10T18:00:00Z").gustProbability).toBeCloseTo(0.4, 1);
    expect(roofRefusal(at(past, "2026-05-10T18:00:00Z"))).toBe("gusts in past years");
    expect(roofRefusal(at(past, "2026-01-10T18:00:00Z"))).toBe("frost in past years");
    expect(roofRefusal(at(past, "2026-07-10T18:00:00Z"))).toBeNull();
  });

  test("says nothing of hours that were hardly ever seen", () => {
    const past = roofPast(
      years((s, i, hour) => {
        if (utcHour(hour) !== 12) return;
        s.precipitationMm[i] = Number.NaN;
        s.windMs[i] = Number.NaN;
        s.temperatureC[i] = Number.NaN;
        s.thunder[i] = -1;
      }),
      WHERE,
    );
    const noon = at(past, "2026-07-10T12:00:00Z");
    expect([noon.rainProbability, noon.gustProbability, noon.thunderProbability, noon.temperatureC]).toEqual([
      null,
      null,
      null,
      null,
    ]);
    expect(roofRefusal(noon)).toBeNull();
  });
});

describe("forecastFilm", () => {
  const dry = roofPast(
    years(() => {}),
    WHERE,
  );
  const ahead = (rain: (k: number) => number, hours = 30) =>
    Array.from({ length: hours }, (_, k) => ({
      hour: dry.lastHour + 1 + k,
      precipitationMm: rain(k),
      temperatureC: 15,
      windMs: 4,
    }));

  test("rain that is forecast wets the roof, and it stays wet after the rain until it has dried", () => {
    const films = forecastFilm(
      dry,
      ahead((k) => (k === 2 ? 0.6 : 0)),
      WHERE,
    );
    expect(films[1]).toBe(0);
    expect(films[2]).toBeGreaterThan(0.5);
    expect(films[3]).toBeGreaterThan(0.05);
    expect(films.at(-1)).toBe(0);
    const wet = films.filter((film) => film !== null && film >= 0.05);
    expect(wet.length).toBeGreaterThan(3);
    // Once the rain is over the film only falls, and it stays known: how fast it dries is all that is open.
    for (let k = 3; k < films.length; k++) expect(films[k] ?? 9).toBeLessThanOrEqual(films[k - 1] as number);
  });

  test("water that lay after the last hour observed is carried on", () => {
    const soaked = { ...dry, water: { ...dry.water, rain: { low: 1, high: 1 } } };
    expect(
      forecastFilm(
        soaked,
        ahead(() => 0),
        WHERE,
      )[0],
    ).toBeGreaterThan(0.5);
    expect(
      forecastFilm(
        dry,
        ahead(() => 0),
        WHERE,
      )[0],
    ).toBe(0);
  });

  test("without an amount, or with nothing known before, the film is not known and refuses nothing", () => {
    const vague = forecastFilm(
      dry,
      ahead(() => Number.NaN),
      WHERE,
    );
    expect(vague.slice(0, 5)).toEqual([null, null, null, null, null]);
    expect(
      forecastFilm(
        null,
        ahead(() => 0),
        WHERE,
      )[0],
    ).toBeNull();
    const late = ahead(() => 0).map((hour) => ({ ...hour, hour: hour.hour + 24 * 9 }));
    expect(forecastFilm(dry, late, WHERE)[0]).toBeNull();
  });
});
