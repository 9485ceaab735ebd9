import { describe, expect, test } from "vitest";
import { sunHours } from "../../lib/correlate/sun-hours.ts";
import { nightfallAfter } from "../../lib/weather/solar-time.ts";
import {
  refractionDeg,
  sunAngles,
  sunElevationDeg,
  sunElevations,
  sunElevationsOver,
  sunPosition,
} from "../../lib/weather/sun-position.ts";

// NREL/TP-560-34302 (Reda and Andreas), worked example: 2003-10-17 12:30:30 UTC-7, as in six public copies.
const EXAMPLE = { at: Date.UTC(2003, 9, 17, 19, 30, 30), where: { latitude: 39.742476, longitude: -105.1786 } };

describe("sunPosition", () => {
  test("meets the worked example of NREL/TP-560-34302 within 0.01 degree", () => {
    const { elevationDeg, azimuthDeg } = sunPosition(EXAMPLE.at, EXAMPLE.where);
    const zenith = 90 - elevationDeg - refractionDeg(elevationDeg, 820, 11);
    expect(Math.abs(zenith - 50.111622)).toBeLessThan(0.01);
    expect(Math.abs(azimuthDeg - 194.340241)).toBeLessThan(0.01);
  });

  test("is finite at the poles and keeps its declination there", () => {
    const north = sunPosition(Date.UTC(2024, 5, 20, 20, 51), { latitude: 90, longitude: 0 });
    expect(north.elevationDeg).toBeCloseTo(23.44, 1);
    expect(Number.isFinite(sunPosition(Date.UTC(2024, 11, 21), { latitude: -90, longitude: 10 }).azimuthDeg)).toBe(
      true,
    );
  });
});

/** Sunset as almanacs give it: the upper limb on the horizon with standard refraction, -0.8333 degree. */
const HORIZON = -0.8333;

describe("nightfallAfter", () => {
  // Sunset in seconds: NREL example; Golden CO by the NREL SPA page (MST all year); -35 latitude. All as held in public
  // test fixtures. The reference program works by the UT day, so where the sun sets after midnight UT the time that it
  // prints for a date is the evening before by local date: 17:20:19 for 2003-10-17 is the evening of the 16th (the 17th
  // has 17:18:50, as another copy has it), 19:13:58 for 2015-08-02 that of the 1st.
  test.each([
    [
      "NREL example",
      Date.UTC(2003, 9, 16, 19),
      { latitude: 39.742476, longitude: -105.1786 },
      Date.UTC(2003, 9, 17, 0, 20, 19),
    ],
    [
      "Golden winter",
      Date.UTC(2015, 0, 2, 19),
      { latitude: 39.743, longitude: -105.178 },
      Date.UTC(2015, 0, 2, 23, 47, 43),
    ],
    [
      "Golden summer",
      Date.UTC(2015, 7, 1, 19),
      { latitude: 39.743, longitude: -105.178 },
      Date.UTC(2015, 7, 2, 2, 13, 58),
    ],
    ["35 south in July", Date.UTC(1996, 6, 5, 12), { latitude: -35, longitude: 0 }, Date.UTC(1996, 6, 5, 17, 1, 4)],
    [
      "35 south in December",
      Date.UTC(2004, 11, 4, 12),
      { latitude: -35, longitude: 0 },
      Date.UTC(2004, 11, 4, 19, 2, 3),
    ],
  ])("finds the published sunset of %s within a minute", (_name, noon, where, sunset) => {
    expect(Math.abs((nightfallAfter(noon, where, HORIZON) as number) - sunset)).toBeLessThan(60_000);
  });

  test("knows that the polar summer has none, and that the dark is already night", () => {
    expect(nightfallAfter(Date.UTC(2024, 5, 21), { latitude: 80, longitude: 0 })).toBeNull();
    const night = Date.UTC(2024, 11, 21, 3);
    expect(sunElevationDeg(night, EXAMPLE.where)).toBeLessThan(20);
    expect(nightfallAfter(Date.UTC(2024, 11, 21, 6), EXAMPLE.where)).toBe(Date.UTC(2024, 11, 21, 6));
  });
});

describe("the sun of many hours at once", () => {
  const HOUR = 3_600_000;
  const FIRST = Date.UTC(2023, 11, 30) / HOUR + 5;
  const HOURS = 400 * 24 + 7;
  const PLACES = [0, 12, 34.2, -37.8, 51.5, 66.56, 69.65, -78, 89.99].flatMap((latitude, k) =>
    [-179.99, -105.2, 0, 13.4, 179.99].map((longitude) => ({ latitude, longitude: longitude + k / 7 - 0.5 })),
  );

  test("elevations are those of one hour after the other, to the last bit", () => {
    for (const where of PLACES.slice(0, 12)) {
      const many = sunElevations((FIRST - 0.5) * HOUR, HOUR, 500, where);
      const one = Float32Array.from(many, (_, i) => sunElevationDeg((FIRST + i - 0.5) * HOUR, where));
      expect(many).toEqual(one);
    }
  });

  test("elevations over a day from both of its ends are within 0.002 degree of one instant after the other", () => {
    const out = new Float64Array(30);
    let worst = 0;
    for (const where of PLACES)
      for (let day = 0; day < 366; day++) {
        const from = (FIRST + 24 * day) * HOUR;
        sunElevationsOver(from, -HOUR, 27, where, out, 3);
        for (let i = 0; i < 27; i++)
          worst = Math.max(worst, Math.abs((out[3 + i] as number) - sunElevationDeg(from - i * HOUR, where)));
      }
    expect(worst).toBeLessThan(0.002);
    expect([out[0], out[1], out[2]]).toEqual([0, 0, 0]);
  });

  // What `sunHours` computed before it told most hours apart without a sine: declination and hour angle as straight
  // lines between midnights, a sine each hour.
  test("lit hours and strata are those of the plain reckoning, at every latitude, for each hour of a leap year", () => {
    const rad = Math.PI / 180;
    for (const where of PLACES) {
      const told = sunHours(FIRST, HOURS, where);
      const lit = new Uint8Array(HOURS);
      const stratum = new Uint16Array(HOURS);
      for (let i = 0; i < HOURS; i++) {
        const day = Math.floor((FIRST + i - 1) / 24);
        const from = sunAngles(day * 24 * HOUR, where.longitude);
        const to = sunAngles((day + 1) * 24 * HOUR, where.longitude);
        const t = FIRST + i - 0.5 - day * 24;
        const drift = ((((to.hourAngleDeg - from.hourAngleDeg + 180) % 360) + 360) % 360) - 180;
        const turned = from.hourAngleDeg + 15 * t + (drift * t) / 24 + 180;
        const d = (from.declinationDeg + ((to.declinationDeg - from.declinationDeg) * t) / 24) * rad;
        const f = where.latitude * rad;
        const sine = Math.sin(f) * Math.sin(d) - Math.cos(f) * Math.cos(d) * Math.cos(turned * rad);
        lit[i] = sine > Math.sin(2 * rad) ? 1 : 0;
        stratum[i] = (Math.floor(turned / 15) % 24) * 12 + new Date(day * 24 * HOUR).getUTCMonth();
      }
      expect(told.lit).toEqual(lit);
      expect(told.stratum).toEqual(stratum);
    }
  });
});
