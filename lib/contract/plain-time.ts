/** Times in the one form that nearly all files have them in, read without a calendar of the runtime's. */

const DAY_MS = 86_400_000;
const MONTH_DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
const FIRST_YEAR = 1970;
const LAST_YEAR = 2099;

/** Epoch milliseconds of the first of each month from 1970 to 2099. */
const MONTH_STARTS = Float64Array.from({ length: 12 * (LAST_YEAR - FIRST_YEAR + 1) }, (_, i) =>
  Date.UTC(FIRST_YEAR + Math.floor(i / 12), i % 12, 1),
);

const MEAN_MONTH_MS = 2_629_746_000;

/** Months since January 1970 of an instant, in UTC; below zero before. */
export function monthIndex(ms: number): number {
  let index = Math.floor(ms / MEAN_MONTH_MS);
  // A local time of those years may lie a day beyond them.
  if (index < 0 || index >= MONTH_STARTS.length - 1) {
    const day = new Date(ms);
    return 12 * (day.getUTCFullYear() - FIRST_YEAR) + day.getUTCMonth();
  }
  while (index > 0 && (MONTH_STARTS[index] as number) > ms) index--;
  while ((MONTH_STARTS[index + 1] as number) <= ms) index++;
  return index;
}

/** The same as `YYYY-MM`. */
export const monthName = (index: number): string =>
  new Date(Date.UTC(FIRST_YEAR, index, 1)).toISOString().slice(0, "YYYY-MM".length);

/** The digit at a place, or something that is none. */
const digit = (bytes: Uint8Array, at: number) => (bytes[at] as number) - 48;
/** Two digits; NaN where one is none. */
function two(bytes: Uint8Array, at: number): number {
  const a = digit(bytes, at);
  const b = digit(bytes, at + 1);
  return a >= 0 && a <= 9 && b >= 0 && b <= 9 ? 10 * a + b : Number.NaN;
}

/** Bytes of `YYYY-MM-DDTHH:MM:SSZ`. */
export const PLAIN_UTC_LENGTH = 20;

/**
 * Epoch milliseconds of the 20 bytes `YYYY-MM-DDTHH:MM:SSZ` from 1970 to 2099, on a day that every year has.
 * @returns NaN for everything else, which a calendar has to look at
 */
export function plainUtcMs(bytes: Uint8Array, at: number): number {
  if (
    bytes[at + 4] !== 45 ||
    bytes[at + 7] !== 45 ||
    bytes[at + 10] !== 84 ||
    bytes[at + 13] !== 58 ||
    bytes[at + 16] !== 58 ||
    bytes[at + 19] !== 90
  )
    return Number.NaN;
  const year = 100 * two(bytes, at) + two(bytes, at + 2);
  const month = two(bytes, at + 5);
  const day = two(bytes, at + 8);
  const hour = two(bytes, at + 11);
  const minute = two(bytes, at + 14);
  const second = two(bytes, at + 17);
  // Every comparison with NaN is false.
  const isTime = year >= FIRST_YEAR && year <= LAST_YEAR && month >= 1 && month <= 12 && day >= 1;
  if (!isTime || !(day <= (MONTH_DAYS[month - 1] as number) && hour <= 23 && minute <= 59 && second <= 59))
    return Number.NaN;
  const start = MONTH_STARTS[12 * (year - FIRST_YEAR) + month - 1] as number;
  return start + (day - 1) * DAY_MS + hour * 3_600_000 + minute * 60_000 + second * 1000;
}

const number = (text: string, at: number) => 10 * text.charCodeAt(at) + text.charCodeAt(at + 1) - 528;

/** Epoch milliseconds of a time as `toISOString` writes it. */
export function isoTextMs(text: string): number {
  const year = 100 * number(text, 0) + number(text, 2);
  if (text.length !== 24 || !(year >= FIRST_YEAR && year <= LAST_YEAR)) return Date.parse(text);
  const start = MONTH_STARTS[12 * (year - FIRST_YEAR) + number(text, 5) - 1] as number;
  const milliseconds = 100 * (text.charCodeAt(20) - 48) + number(text, 21);
  return (
    start +
    (number(text, 8) - 1) * DAY_MS +
    number(text, 11) * 3_600_000 +
    number(text, 14) * 60_000 +
    number(text, 17) * 1000 +
    milliseconds
  );
}
