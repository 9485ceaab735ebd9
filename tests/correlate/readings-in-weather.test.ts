import { describe, expect, test } from "vitest";
import { HOUR_MS } from "../../lib/core/weather-series.ts";
import { readingsInWeather } from "../../lib/correlate/readings-in-weather.ts";
import { sampleRecords } from "../support/sample-site.ts";

const DAY = 24 * HOUR_MS;
const FIRST = Date.UTC(2025, 0, 1) / HOUR_MS;
/** Every third day is wet, the fifth unknown. */
const wet = Uint8Array.from({ length: 500 * 24 }, (_, i) => {
  const day = Math.floor(i / 24);
  return day % 5 === 4 ? 255 : day % 3 === 0 ? 1 : 0;
});

function read(value: (day: number, isWet: boolean) => { kohm: number | null; ma?: number | null }, days = 400) {
  const readings = Array.from({ length: days }, (_, day) => {
    const { kohm, ma } = value(day, day % 3 === 0);
    return {
      inverterId: "I1",
      observedAt: FIRST * HOUR_MS + day * DAY + 8.5 * HOUR_MS,
      insulationKohm: kohm,
      residualCurrentMa: ma ?? null,
      dcVoltageV: null,
      acPowerKw: null,
    };
  });
  return readingsInWeather(
    sampleRecords({ readings } as never),
    { firstHour: FIRST, wet },
    FIRST * HOUR_MS + 600 * DAY,
  )[0];
}

describe("readingsInWeather", () => {
  test("compares the middle of wet and dry readings, and leaves out hours of unknown weather", () => {
    const found = read((day, isWet) => ({ kohm: day % 5 === 4 ? 1 : isWet ? 500 : 2000, ma: isWet ? 9 : 3 }));
    expect(found).toMatchObject({ insulationWetToDry: 0.25, residualWetToDry: 3, insulationWetChange: 1 });
    expect((found?.wetReadings ?? 0) + (found?.dryReadings ?? 0)).toBe(320);
  });

  test("finds an exponential fall exactly, and a quarter of wild readings moves it little", () => {
    const rate = Math.log(0.5) / 365;
    const clean = read((day) => ({ kohm: 4000 * Math.exp(rate * day) }));
    expect(clean?.insulationWetChange).toBeCloseTo(Math.exp(rate * (clean?.changeDays ?? 0)), 6);
    const wild = read((day) => ({ kohm: day % 4 === 0 ? 20_000 + day : 4000 * Math.exp(rate * day) }));
    expect(wild?.insulationWetChange).toBeGreaterThan(0.4);
    expect(wild?.insulationWetChange).toBeLessThan(0.75);
  });

  test("says nothing from few readings or a short log, and nothing at all without readings", () => {
    expect(read(() => ({ kohm: 1000 }), 40)).toMatchObject({ insulationWetChange: null });
    expect(read(() => ({ kohm: 1000 }), 20)).toMatchObject({ insulationWetToDry: null });
    expect(read(() => ({ kohm: null }))).toMatchObject({ insulationWetToDry: null, residualWetToDry: null });
    expect(readingsInWeather(sampleRecords(), { firstHour: FIRST, wet }, 0)).toEqual([]);
  });
});
