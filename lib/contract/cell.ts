import { z } from "zod";
import { isTimeZone } from "../core/zoned-time.ts";

/**
 * Schemas of single cells: trimmed text in, what COPY takes out, or the reason why not. An empty cell never reaches
 * them: it means unknown and is handled before.
 */
export type CellSchema = z.ZodType<string, string>;

const NUMBER = /^[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?$/;

/** Any text without NUL, which PostgreSQL cannot hold. */
export const text = (most = 10_000): CellSchema =>
  z
    .string()
    .max(most, { error: `longer than ${most} characters` })
    .refine((value) => !value.includes("\u0000"), { error: "holds a NUL character" })
    .meta({ plainUpTo: most });

/** Text that is part of a key: an entry of PostgreSQL's index holds 2,700 bytes, and a key has up to four such parts. */
export const keyText = (most = 200): CellSchema =>
  text(most)
    .refine((value) => Buffer.byteLength(value) <= 2 * most, {
      error: `longer than ${2 * most} bytes in UTF-8`,
    })
    .meta({ plainUpTo: most });

/**
 * A decimal number in a physical range, bounds included; written out plainly, because PostgreSQL takes neither `1e2` nor
 * `2.0` for a whole number, nor one too small for a double.
 */
export function number(range: { min?: number; max?: number; above?: number; whole?: boolean } = {}): CellSchema {
  const { min, max, above, whole } = range;
  return z.string().transform((value, ctx) => {
    const n = Number(value);
    const message =
      !NUMBER.test(value) || !Number.isFinite(n)
        ? "not a number (use a decimal point, no unit and no thousands separator)"
        : whole && !Number.isInteger(n)
          ? "not a whole number"
          : min !== undefined && n < min
            ? `below ${min}`
            : above !== undefined && n <= above
              ? `not above ${above}`
              : max !== undefined && n > max
                ? `above ${max}`
                : null;
    if (message) ctx.addIssue({ code: "custom", message });
    return String(n === 0 ? 0 : n);
  });
}

/** One of a list, matched without regard to case. */
export function oneOf(values: readonly string[]): CellSchema {
  const known = new Set(values);
  return z
    .string()
    .transform((value) => value.toLowerCase())
    .refine((value) => known.has(value), { error: `not one of ${values.join(", ")}` })
    .meta({ words: values });
}

/** The words that a column takes; null: any. */
export const wordsOf = (schema: CellSchema): readonly string[] | null =>
  (schema.meta()?.words as readonly string[] | undefined) ?? null;

/** Of a column that takes any text: how many printable ASCII characters it takes as they are; null: it is no such column. */
export const plainUpTo = (schema: CellSchema): number | null =>
  (schema.meta()?.plainUpTo as number | undefined) ?? null;

/** Several of a list, separated by semicolons; kept as written in the list. */
export function listOf(values: readonly string[] | null): CellSchema {
  const known = values ? new Set(values) : null;
  return text().transform((value, ctx) => {
    const items = value
      .split(";")
      .map((item) => item.trim())
      .filter(Boolean);
    if (!known) return items.join(";");
    const lower = items.map((item) => item.toLowerCase());
    const wrong = lower.find((item) => !known.has(item));
    if (wrong !== undefined)
      ctx.addIssue({ code: "custom", message: `"${wrong}" is not one of ${[...known].join(", ")}` });
    return lower.join(";");
  });
}

const SIZES = new Set(["14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0"]);
const KCMIL = new Set([250, 300, 350, 400, 500, 600, 700, 750, 800, 900, 1000, 1250, 1500, 1750, 2000]);

/** A conductor size that is made: 14 to 1, 1/0 to 4/0, or kcmil as `250kcmil`. */
export const awg: CellSchema = z
  .string()
  .transform((value) => value.toLowerCase().replace(/\s+/g, ""))
  .refine((value) => SIZES.has(value) || (/^\d+kcmil$/.test(value) && KCMIL.has(Number.parseInt(value, 10))), {
    error: "not a conductor size (14 to 1, 1/0 to 4/0, or kcmil as 250kcmil)",
  });

export const timeOfDay: CellSchema = z
  .string()
  .regex(/^([01]\d|2[0-3]):[0-5]\d$/, { error: "not a time of day (HH:MM)" });

const CURRENCIES = new Set(Intl.supportedValuesOf("currency"));
export const currency: CellSchema = z
  .string()
  .transform((value) => value.toUpperCase())
  .refine((value) => CURRENCIES.has(value), { error: "not an ISO 4217 currency" });

export const timeZone: CellSchema = z
  .string()
  .refine(isTimeZone, { error: "not an IANA time zone (such as America/Chicago)" });

/** A calendar day. */
export const day: CellSchema = z.string().refine(
  (value) => {
    const m = /^(\d{4})-(\d{2})-(\d{2})$/.exec(value);
    if (!m) return false;
    const at = new Date(Date.UTC(Number(m[1]), Number(m[2]) - 1, Number(m[3])));
    return (
      Number(m[1]) >= 1900 &&
      Number(m[1]) < 2200 &&
      at.getUTCMonth() === Number(m[2]) - 1 &&
      at.getUTCDate() === Number(m[3])
    );
  },
  { error: "not a date (YYYY-MM-DD)" },
);

/** Amperes, or `none` where there is no overcurrent device. */
export const amperesOrNone: CellSchema = z.union(
  [z.string().toLowerCase().pipe(z.literal("none")), number({ above: 0, max: 6000 })],
  {
    error: "not amperes above 0, nor none",
  },
);

/**
 * Where a measurement was taken: `section:ID`, `inverter:ID`, `ground_bus`, `electrode` or `earth`; `piece:ID` for a piece
 * of metal that somebody recorded by hand.
 */
export const point: CellSchema = z
  .string()
  .refine(
    (value) => /^(section|inverter|piece):.+$/.test(value) || ["ground_bus", "electrode", "earth"].includes(value),
    {
      error: "not a point (section:ID, inverter:ID, ground_bus, electrode or earth)",
    },
  )
  .pipe(keyText(210));
