import { describe, expect, test } from "vitest";
import { decimalMark, markOf, plainNumber } from "../../lib/mapping/decimal-mark.ts";
import { splitUnit } from "../../lib/mapping/split-unit.ts";
import { inOwnUnit, unitSpelled, unitsOf } from "../../lib/mapping/units.ts";

describe("decimalMark", () => {
  test("reads the mark off numbers that allow one only", () => {
    expect(decimalMark(["1.234,5", "7"], ";").mark).toBe("comma");
    expect(decimalMark(["1,234.5"], ",").mark).toBe("point");
    expect(decimalMark(["12,5", "1.234"], ";").mark).toBe("comma");
    expect(decimalMark(["0,250"], ";").mark).toBe("comma");
    expect(decimalMark(["1 234,5"], "\t").mark).toBe("comma");
  });
  test("asks where a sign may set thousands apart, and where numbers contradict each other", () => {
    expect(decimalMark(["1,234", "5,678"], "\t").mark).toBeNull();
    expect(decimalMark(["1.234"], ";").mark).toBeNull();
    expect(decimalMark(["12,5", "12.5"], ";").mark).toBeNull();
    // In a file that commas part, a point is a decimal point: the contract's own form.
    expect(decimalMark(["1.234"], ",").mark).toBe("point");
  });
  test("a text is no number", () => expect(markOf("GF,1")).toBeNull());
});

test("plainNumber takes groups of three only, and nothing half right", () => {
  expect(plainNumber("1.234,50", "comma")).toBe("1234.50");
  expect(plainNumber("12,345,678.9", "point")).toBe("12345678.9");
  expect(plainNumber("12,34", "point")).toBeNull();
  expect(plainNumber("1.5", "comma")).toBeNull();
  expect(plainNumber("-0.5e3", "point")).toBe("-0.5e3");
});

test("a value and its unit part", () => {
  expect(splitUnit("12.3 kΩ")).toEqual({ number: "12.3", unit: "kΩ" });
  expect(splitUnit("98%")).toEqual({ number: "98", unit: "%" });
  expect(splitUnit("-4,5")).toEqual({ number: "-4,5", unit: "" });
});

describe("units", () => {
  const of = (column: string, spelled: string) => unitSpelled(column, spelled)?.unit ?? null;
  test("capital M is mega; a small m before ohm may be milli or mega and is asked", () => {
    expect(of("insulation_kohm", "MΩ")).toBe("megohm");
    expect(of("insulation_kohm", "Mohm")).toBe("megohm");
    expect(of("insulation_kohm", "mohm")).toBeNull();
    expect(of("insulation_kohm", "MOHM")).toBeNull();
    expect(of("value", "mΩ")).toBe("milliohm");
    expect(of("insulation_kohm", "kOhm")).toBe("kohm");
    expect(of("insulation_kohm", "Ω")).toBe("ohm");
  });
  test("convert as they are defined: 1 in is 25.4 mm, 1 ft 0.3048 m, 1 kn 1852 m in an hour, 32 °F 0 °C and 212 °F 100 °C", () => {
    const convert = (column: string, unit: string, value: number) => {
      const found = unitsOf(column).find((u) => u.unit === unit);
      if (!found) throw new Error(unit);
      return inOwnUnit(value, found);
    };
    expect(convert("precipitation_mm", "in", 0.04)).toBe(1.016);
    expect(convert("temperature_c", "f", 32)).toBe(0);
    expect(convert("temperature_c", "f", 212)).toBe(100);
    expect(convert("temperature_c", "k", 273.15)).toBe(0);
    expect(convert("wind_m_s", "kn", 3600)).toBe(1852);
    expect(convert("elevation_m", "ft", 100)).toBe(30.48);
    expect(convert("electrode_length_ft", "m", 2.4384)).toBe(8);
    expect(convert("insulation_kohm", "megohm", 1.5)).toBe(1500);
    expect(convert("insulation_kohm", "ohm", 250_000)).toBe(250);
  });
});
