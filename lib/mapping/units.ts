/** A unit that a column may come in: `value * factor + offset` is in the contract's own unit of its family. */
export interface Unit {
  unit: string;
  label: string;
  factor: number;
  offset?: number;
  /** Spellings without regard to case. */
  spelled: readonly string[];
  /** Spellings in which the case matters. */
  exactly?: readonly string[];
}

const own = (unit: string, label: string, spelled: readonly string[], exactly?: readonly string[]): Unit => ({
  unit,
  label,
  factor: 1,
  spelled,
  ...(exactly ? { exactly } : {}),
});

/** Families of units; the first is the contract's own. Factors are exact by definition (international foot and inch). */
export const UNIT_FAMILIES = {
  rain: [
    own("mm", "millimetres", ["mm", "millimetre", "millimetres", "millimeter", "millimeters"]),
    { unit: "in", label: "inches", factor: 25.4, spelled: ["in", "inch", "inches", '"'] },
    { unit: "cm", label: "centimetres", factor: 10, spelled: ["cm"] },
  ],
  temperature: [
    own("c", "degrees Celsius", ["c", "°c", "degc", "deg c", "celsius", "degrees c"]),
    {
      unit: "f",
      label: "degrees Fahrenheit",
      factor: 5 / 9,
      offset: -160 / 9,
      spelled: ["f", "°f", "degf", "deg f", "fahrenheit", "degrees f"],
    },
    { unit: "k", label: "kelvin", factor: 1, offset: -273.15, spelled: ["k", "kelvin"] },
  ],
  speed: [
    own("m_s", "metres per second", ["m/s", "m_s", "ms", "mps", "m s"]),
    { unit: "km_h", label: "kilometres per hour", factor: 1 / 3.6, spelled: ["km/h", "kmh", "kph", "km_h"] },
    { unit: "mph", label: "miles per hour", factor: 0.44704, spelled: ["mph", "mi/h"] },
    { unit: "kn", label: "knots", factor: 1852 / 3600, spelled: ["kn", "kt", "kts", "knots"] },
  ],
  share: [
    own("pct", "per cent", ["%", "pct", "percent", "per cent"]),
    { unit: "fraction", label: "fraction of 1", factor: 100, spelled: ["fraction"] },
  ],
  insulation: [
    own("kohm", "kiloohms", ["kohm", "kω", "k ohm", "kohms", "kiloohm", "kiloohms", "kilohm", "kilohms"]),
    {
      unit: "megohm",
      label: "megohms",
      factor: 1000,
      spelled: ["megohm", "megohms", "megaohm", "megaohms", "meg"],
      exactly: ["MOhm", "Mohm", "MΩ", "Mohms", "MOhms"],
    },
    { unit: "ohm", label: "ohms", factor: 0.001, spelled: ["ohm", "ohms", "ω"] },
  ],
  small_current: [
    own("ma", "milliamperes", ["ma", "milliamp", "milliamps", "milliampere", "milliamperes"]),
    { unit: "a", label: "amperes", factor: 1000, spelled: ["a", "amp", "amps", "ampere", "amperes"] },
  ],
  voltage: [
    own("v", "volts", ["v", "volt", "volts", "vdc", "vac"]),
    { unit: "kv", label: "kilovolts", factor: 1000, spelled: ["kv"] },
  ],
  power: [
    own("kw", "kilowatts", ["kw", "kwp", "kwdc", "kwac", "kilowatt", "kilowatts"]),
    { unit: "w", label: "watts", factor: 0.001, spelled: ["w", "wp", "watt", "watts"] },
    { unit: "mw", label: "megawatts", factor: 1000, spelled: ["mw", "mwp", "megawatt", "megawatts"] },
  ],
  energy: [
    own("kwh", "kilowatt-hours", ["kwh"]),
    { unit: "wh", label: "watt-hours", factor: 0.001, spelled: ["wh"] },
    { unit: "mwh", label: "megawatt-hours", factor: 1000, spelled: ["mwh"] },
  ],
  height: [
    own("m", "metres", ["m", "metre", "metres", "meter", "meters"]),
    { unit: "ft", label: "feet", factor: 0.3048, spelled: ["ft", "foot", "feet"] },
  ],
  length: [
    own("ft", "feet", ["ft", "foot", "feet"]),
    { unit: "m", label: "metres", factor: 1 / 0.3048, spelled: ["m", "metre", "metres", "meter", "meters"] },
    { unit: "in", label: "inches", factor: 1 / 12, spelled: ["in", "inch", "inches", '"'] },
  ],
  reading: [
    own("ohm", "ohms", ["ohm", "ohms", "ω"]),
    { unit: "milliohm", label: "milliohms", factor: 0.001, spelled: ["milliohm", "milliohms"], exactly: ["mΩ"] },
    {
      unit: "kohm",
      label: "kiloohms",
      factor: 1,
      spelled: ["kohm", "kω", "kohms", "kiloohm", "kiloohms", "kilohm", "kilohms"],
    },
    {
      unit: "megohm",
      label: "megohms",
      factor: 1,
      spelled: ["megohm", "megohms", "megaohm", "megaohms"],
      exactly: ["MOhm", "Mohm", "MΩ", "Mohms", "MOhms"],
    },
    { unit: "volt", label: "volts", factor: 1, spelled: ["v", "volt", "volts", "vac", "vdc"] },
    { unit: "foot", label: "feet", factor: 1, spelled: ["ft", "foot", "feet"] },
  ],
} as const satisfies Record<string, readonly Unit[]>;
export type UnitFamily = keyof typeof UNIT_FAMILIES;

/** Column of the contract to its family; columns of one unit only are not here. */
const FAMILY_OF: Readonly<Record<string, UnitFamily>> = {
  precipitation_mm: "rain",
  temperature_c: "temperature",
  dew_point_c: "temperature",
  wind_m_s: "speed",
  relative_humidity_pct: "share",
  insulation_kohm: "insulation",
  insulation_limit_kohm: "insulation",
  residual_current_ma: "small_current",
  trip_ma: "small_current",
  dc_voltage_v: "voltage",
  max_dc_v: "voltage",
  ac_voltage_v: "voltage",
  test_voltage_v: "voltage",
  ac_power_kw: "power",
  ac_kw: "power",
  dc_kw: "power",
  annual_kwh: "energy",
  elevation_m: "height",
  electrode_length_ft: "length",
  value: "reading",
};

export const unitsOf = (column: string): readonly Unit[] => {
  const family = FAMILY_OF[column];
  return family ? UNIT_FAMILIES[family] : [];
};

/** The unit of a column's family that a text spells; null when it spells none of it, or may spell two. */
export function unitSpelled(column: string, text: string): Unit | null {
  const written = text
    .trim()
    .replace(/\u2126/g, "Ω")
    .replace(/[.]$/, "");
  const units = unitsOf(column);
  const exact = units.find((u) => u.exactly?.includes(written));
  if (exact) return exact;
  const lower = written.toLowerCase();
  return units.find((u) => u.spelled.includes(lower)) ?? null;
}

/** A value in the contract's unit, rounded to what a double holds of it anyway. */
export function inOwnUnit(value: number, unit: Unit): number {
  return Number((value * unit.factor + (unit.offset ?? 0)).toPrecision(12));
}
