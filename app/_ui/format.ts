import { KNOWN } from "@/app/_words/shared.ts";

export { bandedText as banded } from "@/lib/core/banded.ts";
export {
  distanceText,
  filmText,
  rainText,
  readingIn,
  sentenceIn,
  temperatureText,
  windText,
} from "@/lib/core/units.ts";
/** Decibans with one decimal and a sign that means something. */
export function decibanText(value: number): string {
  return Math.abs(value) < 0.05 ? "0.0" : value.toFixed(1);
}

/** Money without cents: these are expectations, not invoices. */
export function money(amount: number | null, currency: string): string {
  return amount === null ? KNOWN.notKnown : `${Math.round(amount).toLocaleString("en-US")} ${currency}`;
}

/** A drawn figure with its standard error; three figures carry all that a simulation knows. */
export function estimateText({ value, error }: { value: number; error: number }, currency: string): string {
  const whole = (x: number) => Number(x.toPrecision(4)).toLocaleString("en-US", { maximumFractionDigits: 0 });
  const off =
    error > 0 && error < 1 ? "1" : Number(error.toPrecision(2)).toLocaleString("en-US", { maximumFractionDigits: 0 });
  return `${whole(value)} ± ${off} ${currency}`;
}

/** An expectation with what it comes to at both ends of the probabilities' bands. */
export function rangedMoney(
  { value, low, high }: { value: number; low: number; high: number },
  currency: string,
): string {
  const whole = (x: number) => Math.round(x).toLocaleString("en-US");
  return `${whole(value)} (${whole(low)} to ${whole(high)}) ${currency}`;
}

/** Formatters are dear to make and are asked for on every line of a table. */
const clocks = new Map<string, Intl.DateTimeFormat>();
/** The Swedish form is the ISO one; the English one names the zone as it is called there. */
function clockOf(locale: "sv-SE" | "en-US", timeZone: string): Intl.DateTimeFormat {
  const key = `${locale} ${timeZone}`;
  const known = clocks.get(key);
  if (known) return known;
  const made = new Intl.DateTimeFormat(
    locale,
    locale === "sv-SE"
      ? { timeZone, dateStyle: "short", timeStyle: "short" }
      : { timeZone, timeZoneName: "short", hour: "numeric" },
  );
  clocks.set(key, made);
  return made;
}

/** `2026-10-31 14:05` in a zone. */
export function timeInZone(iso: string, zone: string): string {
  return clockOf("sv-SE", zone).format(Date.parse(iso));
}

/** `2026-10-31 14:05 CDT`: the same with the zone's name as it is called on that day. */
export function zonedTime(iso: string, zone: string): string {
  const name = clockOf("en-US", zone)
    .formatToParts(Date.parse(iso))
    .find((part) => part.type === "timeZoneName")?.value;
  return `${timeInZone(iso, zone)} ${name ?? zone}`;
}

export function utcTime(iso: string): string {
  return `${iso.slice(0, 16).replace("T", " ")} UTC`;
}

export function orUnknown(value: string | number | null | undefined, unit = ""): string {
  return value === null || value === undefined || value === ""
    ? KNOWN.notRecorded
    : `${value}${unit ? ` ${unit}` : ""}`;
}

/** `high_resistance_bond` as words. */
export function words(name: string): string {
  return name.replaceAll("_", " ");
}

export function ratio(value: number | null): string {
  return value === null ? "–" : `${value.toFixed(1)}×`;
}

/** A p- or q-value: never 0. */
export function smallNumber(value: number | null): string {
  if (value === null) return KNOWN.notGiven;
  return value < 0.0001 ? "< 0.0001" : value.toFixed(4);
}

/** A number as short as it can be read: at most four significant digits. */
export function number(value: number): string {
  return Number(value.toPrecision(4)).toString();
}

/** How long ago, in the unit that says it best; a time to come counts as now. */
export function ageText(iso: string, now: string): string {
  const minutes = Math.max(0, Math.round((Date.parse(now) - Date.parse(iso)) / 60_000));
  if (minutes < 2) return KNOWN.justNow;
  if (minutes < 90) return KNOWN.minutesAgo(minutes);
  if (minutes < 48 * 60) return KNOWN.hoursAgo(Math.round(minutes / 60));
  return KNOWN.daysAgo(Math.round(minutes / 1440));
}
