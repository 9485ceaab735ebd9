import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { HOUR_MS, unknownSeries, type WeatherSeries } from "../../lib/core/weather-series.ts";
import { surfaceWet } from "../../lib/weather/surface-wetness-rule.ts";
import { WEATHER_STATES } from "../../lib/weather/weather-state.ts";
import { wetness } from "../../lib/weather/wetness.ts";

const WHERE = { latitude: 41, longitude: -93 };
const JUNE = Date.UTC(2025, 5, 1) / HOUR_MS;

/** Plain warm weather, everything observed, changed hour by hour where asked. */
function series(
  hours: number,
  change: (s: WeatherSeries, i: number) => void = () => {},
  firstHour = JUNE,
): WeatherSeries {
  const s = unknownSeries("X", firstHour, hours);
  for (let i = 0; i < hours; i++) {
    s.precipitationMm[i] = 0;
    s.temperatureC[i] = 22;
    s.dewPointC[i] = 10;
    s.windMs[i] = 3;
    s.thunder[i] = 0;
    change(s, i);
  }
  return s;
}

const stateAt = (w: { state: Uint8Array }, i: number) => WEATHER_STATES[w.state[i] as number];

describe("wetness", () => {
  test("an unknown start dries out within a sunny day and is then known to be dry", () => {
    const { wetness: w } = wetness(series(48), WHERE);
    expect(w.wet[0]).toBe(255);
    expect(w.wet[47]).toBe(0);
    expect(stateAt(w, 47)).not.toBe("unknown");
  });

  test("rain wets at once, lasts after the rain, and dries by day", () => {
    const noon = 60; // 12 h UTC plus two days: well into the day at this longitude
    const { wetness: w } = wetness(
      series(96, (s, i) => (s.precipitationMm[i] = i === noon ? 3 : 0)),
      WHERE,
    );
    expect(stateAt(w, noon)).toBe("rain");
    expect(w.wet[noon + 1]).toBe(1);
    expect(w.wet[noon + 24]).toBe(0);
  });

  test("a calm humid night lays dew, a windy or dry one none", () => {
    const night = (wind: number, dew: number) =>
      wetness(
        series(72, (s, i) => {
          s.windMs[i] = wind;
          s.dewPointC[i] = dew;
        }),
        WHERE,
      ).wetness;
    const lateNight = 48 + 10; // 10 h UTC: about 4 h local, dark
    expect(stateAt(night(1, 21.5), lateNight)).toBe("dew");
    expect(night(5, 21.5).wet[lateNight]).toBe(0);
    expect(night(1, 12).wet[lateNight]).toBe(0);
  });

  test("an hour without a precipitation observation is never dry, nor are the hours after it until it must have dried", () => {
    const gap = 60;
    const { wetness: w } = wetness(
      series(120, (s, i) => (s.precipitationMm[i] = i === gap ? Number.NaN : 0)),
      WHERE,
    );
    expect(w.wet[gap]).toBe(255);
    expect(w.wet[gap + 1]).toBe(255);
    expect(stateAt(w, gap)).toBe("unknown");
    expect(w.wet[gap + 40]).toBe(0);
  });

  test("thunder colours its hour and the two after it; unknown thunder hides nothing", () => {
    const at = 60;
    const { wetness: w } = wetness(
      series(96, (s, i) => (s.thunder[i] = i === at ? 1 : -1)),
      WHERE,
    );
    expect([0, 1, 2, 3].map((k) => stateAt(w, at + k) === "thunder")).toEqual([true, true, true, false]);
    expect(w.wet[at]).toBe(0);
  });

  test("precipitation at or below freezing is snow, and melts into water when it warms", () => {
    const cold = series(
      120,
      (s, i) => {
        s.temperatureC[i] = i < 84 ? -4 : 5;
        s.dewPointC[i] = i < 84 ? -8 : -2;
        s.precipitationMm[i] = i >= 60 && i < 66 ? 1 : 0;
      },
      Date.UTC(2025, 0, 10) / HOUR_MS,
    );
    const { wetness: w } = wetness(cold, WHERE);
    expect(stateAt(w, 62)).toBe("snow");
    expect(w.wet[62]).not.toBe(1);
    expect(w.wet[90]).toBe(1);
  });

  test("extending from where it ended gives exactly what one pass gives", () => {
    const thresholds = { hotC: 40, windyMs: 6 };
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            p: fc.option(fc.double({ min: 0, max: 5, noNaN: true })),
            t: fc.double({ min: -10, max: 35, noNaN: true }),
            w: fc.option(fc.double({ min: 0, max: 12, noNaN: true })),
          }),
          { minLength: 2, maxLength: 80 },
        ),
        fc.integer({ min: 1, max: 79 }),
        (hours, cutAt) => {
          const cut = Math.min(cutAt, hours.length - 1);
          const of = (from: number, to: number) =>
            series(
              to - from,
              (s, i) => {
                const h = hours[from + i];
                s.precipitationMm[i] = h?.p ?? Number.NaN;
                s.temperatureC[i] = h?.t ?? 0;
                s.dewPointC[i] = (h?.t ?? 0) - 2;
                s.windMs[i] = h?.w ?? Number.NaN;
              },
              JUNE + from,
            );
          const whole = wetness(of(0, hours.length), WHERE, undefined, thresholds);
          const first = wetness(of(0, cut), WHERE, undefined, thresholds);
          const second = wetness(of(cut, hours.length), WHERE, first.end, thresholds);
          expect([...first.wetness.state, ...second.wetness.state]).toEqual([...whole.wetness.state]);
          expect([...first.wetness.wet, ...second.wetness.wet]).toEqual([...whole.wetness.wet]);
          expect(second.end).toEqual(whole.end);
        },
      ),
      { numRuns: 60 },
    );
  });

  test("hiding observations never turns a wet hour dry or a dry one wet: it can only become unknown", () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.double({ min: 0, max: 3, noNaN: true }), fc.boolean(), fc.boolean()), {
          minLength: 24,
          maxLength: 90,
        }),
        (hours) => {
          const make = (hide: boolean) =>
            series(hours.length, (s, i) => {
              const [p, rains, hidden] = hours[i] as [number, boolean, boolean];
              s.precipitationMm[i] = hide && hidden ? Number.NaN : rains ? p : 0;
              s.windMs[i] = hide && hidden ? Number.NaN : 2;
            });
          const thresholds = { hotC: null, windyMs: null };
          const full = wetness(make(false), WHERE, undefined, thresholds).wetness.wet;
          const part = wetness(make(true), WHERE, undefined, thresholds).wetness.wet;
          part.forEach((code, i) => {
            if (code !== 255 && full[i] !== 255) expect(code).toBe(full[i]);
          });
        },
      ),
      { numRuns: 80 },
    );
  });

  test("agrees with the published dew rule on most calm night hours without rain", () => {
    let agree = 0;
    let all = 0;
    for (const depression of [0.3, 0.8, 1.2, 2.5, 3, 4, 6]) {
      const s = series(72, (x, i) => {
        x.windMs[i] = 1;
        x.temperatureC[i] = 15;
        x.dewPointC[i] = 15 - depression;
      });
      const { wetness: w } = wetness(s, WHERE);
      for (let i = 48 + 6; i < 48 + 11; i++) {
        const rh =
          100 * Math.exp((17.625 * (15 - depression)) / (243.04 + 15 - depression) - (17.625 * 15) / (243.04 + 15));
        const rule = surfaceWet({
          temperatureC: 15,
          relativeHumidityPct: rh,
          windMs: 1,
          dewPointDepressionC: depression,
        });
        all++;
        if (rule === (w.wet[i] === 1)) agree++;
      }
    }
    expect(agree / all).toBeGreaterThanOrEqual(0.8);
  });
});
