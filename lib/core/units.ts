/** In which units a person reads. Stored and computed values are metric always; conductor sizes stay as the code states them. */
export const UNITS = ["metric", "us"] as const;
export type Units = (typeof UNITS)[number];

export const UNITS_SAY: Record<Units, string> = {
  metric: "Metric: km, mm, °C, m/s",
  us: "US: miles, inches, °F, mph",
};

// Exact by definition (NIST SP 811, 2008, appendix B): international inch, mile, and mile per hour.
const MM_PER_INCH = 25.4;
const INCHES_PER_FOOT = 12;
const KM_PER_MILE = 1.609344;
const MS_PER_MPH = 0.44704;

/** Thousandths of an inch: what a film of water is measured in, where an inch would need four places. */
const MILS_PER_INCH = 1000;

export const milesOf = (km: number): number => km / KM_PER_MILE;
export const inchesOf = (mm: number): number => mm / MM_PER_INCH;
export const milsOf = (mm: number): number => (mm / MM_PER_INCH) * MILS_PER_INCH;
export const fahrenheitOf = (celsius: number): number => celsius * 1.8 + 32;
export const mphOf = (ms: number): number => ms / MS_PER_MPH;

/** At most `digits` significant figures, without an exponent. */
const short = (value: number, digits: number): string =>
  value.toLocaleString("en-US", { maximumSignificantDigits: digits, useGrouping: false });

/** A way by road or as the crow flies, to the whole kilometre or mile. */
export const distanceText = (km: number, units: Units): string =>
  units === "us" ? `${Math.round(milesOf(km))} mi` : `${Math.round(km)} km`;

/** Rain of an hour, day or storm. */
export const rainText = (mm: number, units: Units): string =>
  units === "us" ? `${inchesOf(mm).toFixed(2)} in` : `${short(mm, 3)} mm`;

/** Depth of a film of water on the array. */
export const filmText = (mm: number, units: Units): string =>
  units === "us" ? `${short(milsOf(mm), 2)} mil` : `${short(mm, 3)} mm`;

export const temperatureText = (celsius: number, units: Units): string =>
  units === "us" ? `${Math.round(fahrenheitOf(celsius))} °F` : `${Math.round(celsius)} °C`;

export const windText = (ms: number, units: Units): string =>
  units === "us" ? `${Math.round(mphOf(ms))} mph` : `${short(ms, 2)} m/s`;

/** A figure of depth below this is a film, above it rain, mm. */
const FILM_MOST_MM = 1;

/** A number with its unit in a sentence of the program. Areas (mm²) and rates by the hour are none of them. */
const FIGURE = /(?<![\w.,])(−|-)?(\d+(?:,\d{3})*(?:\.\d+)?) (km|mm|°C|m\/s)(?![\w²³/])/g;

/** A figure of `FIGURE` in US units. */
function inUs(minus: string | undefined, digits: string, unit: string): string {
  const value = (minus ? -1 : 1) * Number(digits.replaceAll(",", ""));
  if (unit === "km") return distanceText(value, "us");
  if (unit === "mm") return value < FILM_MOST_MM ? filmText(value, "us") : rainText(value, "us");
  return unit === "°C" ? temperatureText(value, "us") : windText(value, "us");
}

/** A stored sentence, which is metric, in the units of who reads it. */
export function sentenceIn(units: Units, sentence: string): string {
  if (units === "metric") return sentence;
  return sentence.replace(FIGURE, (_, minus, digits, unit) => inUs(minus, digits, unit));
}

/** A length as a code in feet and inches states it. */
const US_LENGTH = /(?<![\w.,/])(\d+(?:\.\d+)?) (ft|in)(?![\w²³/])(?! \()/g;

/**
 * A sentence whose figures are somebody else's: a code's or those of a stored score. They stay as they were stated, and who
 * reads in other units has theirs in brackets: `8 ft (2.44 m)`, `12 km (7 mi)`.
 */
export function bothIn(units: Units, sentence: string): string {
  if (units === "us")
    return sentence.replace(FIGURE, (figure, minus, digits, unit) => `${figure} (${inUs(minus, digits, unit)})`);
  return sentence.replace(US_LENGTH, (figure, digits, unit) => {
    return `${figure} (${lengthText(Number(digits) * MM_PER_INCH * (unit === "ft" ? INCHES_PER_FOOT : 1))})`;
  });
}

const lengthText = (mm: number): string => (mm < 1000 ? `${Math.round(mm)} mm` : `${short(mm / 1000, 3)} m`);

/**
 * A reading as it was written down, with its unit: a length in feet stays that, and who reads metric has metres in brackets.
 * Electrical units and conductor sizes are the same for everybody.
 */
export function readingIn(units: Units, text: string | number, unit: string | null): string {
  if (unit !== "foot") return `${text} ${unit ?? ""}`.trim();
  const feet = Number(String(text).replace(",", "."));
  const isKnown = units === "metric" && String(text).trim() !== "" && Number.isFinite(feet);
  return isKnown ? `${text} ft (${lengthText(feet * INCHES_PER_FOOT * MM_PER_INCH)})` : `${text} ft`;
}
