import { describe, expect, test } from "vitest";
import {
  bothIn,
  distanceText,
  fahrenheitOf,
  filmText,
  inchesOf,
  milesOf,
  mphOf,
  rainText,
  readingIn,
  sentenceIn,
  temperatureText,
  windText,
} from "../../lib/core/units.ts";

describe("units", () => {
  // Exact values: NIST Special Publication 811 (2008), appendix B.8: inch 2.54 cm, mile 1.609344 km, mile per hour
  // 0.44704 m/s. Fixed points of water: 0 °C is 32 °F, 100 °C is 212 °F.
  test("agree with the definitions of the international inch, mile and mile per hour, and with the fixed points of water", () => {
    expect(inchesOf(25.4)).toBe(1);
    expect(milesOf(1.609344)).toBe(1);
    expect(mphOf(0.44704)).toBe(1);
    expect([0, 100, -40].map(fahrenheitOf)).toEqual([32, 212, -40]);
    // A marathon, 42.195 km, is 26.219 miles.
    expect(milesOf(42.195)).toBeCloseTo(26.219, 3);
  });
  test("each figure goes out with its unit", () => {
    expect([distanceText(100, "metric"), distanceText(100, "us")]).toEqual(["100 km", "62 mi"]);
    expect([rainText(12.7, "metric"), rainText(12.7, "us")]).toEqual(["12.7 mm", "0.50 in"]);
    expect([filmText(0.05, "metric"), filmText(0.05, "us")]).toEqual(["0.05 mm", "2 mil"]);
    expect([temperatureText(-10, "metric"), temperatureText(-10, "us")]).toEqual(["-10 °C", "14 °F"]);
    expect([windText(10, "metric"), windText(10, "us")]).toEqual(["10 m/s", "22 mph"]);
  });
  test("figures of a code or a record stay as stated, with the reader's units in brackets", () => {
    // 8 ft is 2.4384 m, 2.5 ft 762 mm, 18 in 457.2 mm; NEC 2023 250.53 itself rounds them to 2.44 m, 750 mm, 450 mm (from memory).
    const code = "At least 8 ft in soil, else 2.5 ft deep; none ends within 18 in of earth.";
    expect(bothIn("us", code)).toBe(code);
    expect(bothIn("metric", code)).toBe(
      "At least 8 ft (2.44 m) in soil, else 2.5 ft (762 mm) deep; none ends within 18 in (457 mm) of earth.",
    );
    expect(bothIn("metric", "8 ft (2.44 m) in soil")).toBe("8 ft (2.44 m) in soil");
    expect(bothIn("us", "12 km away, wet is 0.05 mm")).toBe("12 km (7 mi) away, wet is 0.05 mm (2 mil)");
  });
  test("a reading in feet stays as it was written; who reads metric has metres beside it", () => {
    // The international foot is 0.3048 m, the inch 25.4 mm, both exact (NIST SP 811, 2008, appendix B.8): 8 ft is 2.4384 m,
    // 2.5 ft 762 mm, 10 ft 3.048 m.
    expect(readingIn("metric", 8, "foot")).toBe("8 ft (2.44 m)");
    expect(readingIn("metric", "2,5", "foot")).toBe("2,5 ft (762 mm)");
    expect(readingIn("metric", "10", "foot")).toBe("10 ft (3.05 m)");
    expect(readingIn("us", 8, "foot")).toBe("8 ft");
    expect(readingIn("metric", "about eight", "foot")).toBe("about eight ft");
    for (const units of ["metric", "us"] as const) {
      expect(readingIn(units, 0.4, "volt")).toBe("0.4 volt");
      expect(readingIn(units, 10, "awg")).toBe("10 awg");
      expect(readingIn(units, 5, null)).toBe("5");
    }
  });
  test("a stored sentence changes its distances and depths and nothing else", () => {
    expect(sentenceIn("us", "Station KXYZ (12 km away, 140 m higher); wet is 0.05 mm or more, 1,200 km in all.")).toBe(
      "Station KXYZ (7 mi away, 140 m higher); wet is 2 mil or more, 746 mi in all.",
    );
    expect(sentenceIn("us", "A jumper of 16 mm² over 3 mm/h of rain at S012 km")).toBe(
      "A jumper of 16 mm² over 3 mm/h of rain at S012 km",
    );
    expect(sentenceIn("us", "It was -5 °C with gusts of 20 m/s.")).toBe("It was 23 °F with gusts of 45 mph.");
    expect(sentenceIn("metric", "12 km and 3 mm")).toBe("12 km and 3 mm");
  });
});
