import { instantFromWall, isTimeZone } from "../core/zoned-time.ts";
import { impliedOffset } from "./zone-names.ts";

/** How times of a column are written. */
export const TIME_FORMS = ["iso", "ymd", "mdy", "dmy", "named_month", "epoch_s", "epoch_ms", "serial_day"] as const;
export type TimeForm = (typeof TIME_FORMS)[number];

export const TIME_FORM_SAYS: Record<TimeForm, string> = {
  iso: "ISO 8601 (2025-04-03T14:00)",
  ymd: "year, month, day (2025/4/3 14:00)",
  mdy: "month, day, year (4/3/2025 is 3 April)",
  dmy: "day, month, year (4/3/2025 is 4 March)",
  named_month: "month by name (3 Apr 2025)",
  epoch_s: "seconds since 1970, UTC",
  epoch_ms: "milliseconds since 1970, UTC",
  serial_day: "day number of a spreadsheet (45750.58)",
};

const ISO = /^\d{4}-\d{2}-\d{2}(?:[T ]\d{2}:\d{2}(?::\d{2}(?:[.,]\d{1,9})?)?\s*(Z|z|[+-]\d{2}(?::?\d{2})?)?)?$/;
const CLOCK = String.raw`(?:[T,]?\s+|T)?(?:(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?\s*([AaPp]\.?[Mm]\.?)?)?\s*(Z|UTC|GMT|[+-]\d{2}:?\d{2}|\(?[A-Z]{3,5}\)?)?`;
const PARTS = new RegExp(String.raw`^(\d{1,4})([/.\-])(\d{1,2})\2(\d{1,4})${CLOCK}$`);
const DAY_NAME = String.raw`(?:[A-Za-z]{3,9},?\s+)?`;
const DAY_MONTH = new RegExp(
  String.raw`^${DAY_NAME}(\d{1,2})[\s\-./]+([A-Za-z]{3,9})\.?[\s\-./,]+(\d{2}|\d{4})${CLOCK}$`,
);
const MONTH_DAY = new RegExp(
  String.raw`^${DAY_NAME}([A-Za-z]{3,9})\.?[\s\-]+(\d{1,2})(?:st|nd|rd|th)?[,\s\-]+(\d{4})${CLOCK}$`,
);
const MONTHS = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
/** Noon of 30 December 1899 is day 0.5: what spreadsheets count from, 29 February 1900 included. */
const SERIAL_EPOCH_MS = Date.UTC(1899, 11, 30);

const two = (n: number) => String(n).padStart(2, "0");
const year4 = (text: string) => (text.length === 2 ? (Number(text) < 70 ? 2000 : 1900) + Number(text) : Number(text));
const monthOf = (name: string) => MONTHS.indexOf(name.slice(0, 3).toLowerCase()) + 1;

interface Wall {
  day: string;
  /** null: a date alone. */
  clock: string | null;
  /** Z, an offset as written, or the name of a zone such as EST; null: none. */
  offset: string | null;
}

function wall(date: [number, number, number], clock: (string | undefined)[]): Wall | null {
  const [y, mo, d] = date;
  const back = new Date(Date.UTC(y, mo - 1, d));
  if (y < 1900 || y > 2199 || back.getUTCMonth() !== mo - 1 || back.getUTCDate() !== d) return null;
  const [h, mi, s, half, zone] = clock;
  const day = `${y}-${two(mo)}-${two(d)}`;
  const offset = zone ? (/^(Z|UTC|GMT)$/.test(zone) ? "Z" : zone.replace(/[()]/g, "")) : null;
  if (h === undefined) return offset ? null : { day, clock: null, offset: null };
  let hour = Number(h);
  if (half) {
    if (hour < 1 || hour > 12) return null;
    hour = (hour % 12) + (/^p/i.test(half) ? 12 : 0);
  }
  if (hour > 23 || Number(mi) > 59 || Number(s ?? 0) > 59) return null;
  return { day, clock: `${two(hour)}:${mi}:${two(Number(s ?? 0))}`, offset };
}

/** One text read in a form; null when it is not written so. */
function readWall(text: string, form: TimeForm): Wall | null {
  if (form === "epoch_s" || form === "epoch_ms") {
    // 1973 to 2286 in seconds; the same in milliseconds has three digits more, so that neither passes for the other.
    if (!(form === "epoch_s" ? /^\d{9,10}(\.\d+)?$/ : /^\d{12,13}$/).test(text)) return null;
    const ms = Number(text) * (form === "epoch_s" ? 1000 : 1);
    if (!(ms >= 0 && ms < 4.2e12)) return null;
    const iso = new Date(ms).toISOString();
    return { day: iso.slice(0, 10), clock: iso.slice(11, 19), offset: "Z" };
  }
  if (form === "serial_day") {
    if (!/^\d{5}(\.\d+)?$/.test(text)) return null;
    const iso = new Date(SERIAL_EPOCH_MS + Math.round(Number(text) * 86_400) * 1000).toISOString();
    return { day: iso.slice(0, 10), clock: text.includes(".") ? iso.slice(11, 19) : null, offset: null };
  }
  if (form === "iso") {
    const m = ISO.exec(text);
    if (!m) return null;
    const bare = m[1] ? text.slice(0, text.length - m[1].length).trim() : text;
    return {
      day: bare.slice(0, 10),
      clock: bare.length > 10 ? bare.slice(11).replace(",", ".") : null,
      offset: m[1] ?? null,
    };
  }
  if (form === "named_month") {
    const dm = DAY_MONTH.exec(text);
    if (dm) return wall([year4(dm[3] ?? ""), monthOf(dm[2] ?? ""), Number(dm[1])], dm.slice(4));
    const md = MONTH_DAY.exec(text);
    return md ? wall([year4(md[3] ?? ""), monthOf(md[1] ?? ""), Number(md[2])], md.slice(4)) : null;
  }
  const m = PARTS.exec(text);
  if (!m) return null;
  const [a = "", b = "", c = ""] = [m[1], m[3], m[4]];
  if (form === "ymd")
    return a.length === 4 && c.length <= 2 ? wall([Number(a), Number(b), Number(c)], m.slice(5)) : null;
  if (a.length > 2 || (c.length !== 2 && c.length !== 4)) return null;
  return form === "mdy"
    ? wall([year4(c), Number(a), Number(b)], m.slice(5))
    : wall([year4(c), Number(b), Number(a)], m.slice(5));
}

/** The name of a zone that a time carries, such as EST, with its wall clock read as if it were UTC; null: it carries none. */
export function namedTime(text: string, form: TimeForm): { name: string; wallMs: number } | null {
  const read = readWall(text.trim(), form);
  if (!read?.clock || !read.offset || !/^[A-Z]{3}/.test(read.offset)) return null;
  return { name: read.offset, wallMs: Date.parse(`${read.day}T${read.clock}Z`) };
}

/**
 * A time as the contract writes it. Without an offset it is taken as local to `zone`: `site` leaves it local to the row's
 * site, an IANA zone (or UTC) makes it absolute.
 * @param names what names of zones mean, in lower case: an offset, or `site` for the clock on the wall
 * @returns null when the text is not written in this form, or names a zone that nobody explained
 */
export function contractTime(
  text: string,
  form: TimeForm,
  zone: string,
  names: Readonly<Record<string, string>> = {},
): string | null {
  const read = readWall(text.trim(), form);
  if (!read) return null;
  if (read.clock === null) return read.day;
  const local = `${read.day}T${read.clock}`;
  if (read.offset && /^[A-Z]{3}/.test(read.offset)) {
    const offset = names[read.offset.toLowerCase()] ?? impliedOffset(read.offset, names);
    if (offset !== "site") return offset === null ? null : `${local}${offset}`;
  } else if (read.offset) return `${local}${read.offset}`;
  if (zone === "site" || (read.offset && zone === "UTC")) return local;
  if (zone === "UTC") return `${local}Z`;
  if (!isTimeZone(zone)) return null;
  return new Date(instantFromWall(Date.parse(`${local}Z`), zone).at).toISOString();
}

/** A calendar day as the contract writes it; null when the text is not written in this form. */
export function contractDay(text: string, form: TimeForm): string | null {
  return readWall(text.trim(), form)?.day ?? null;
}

export interface TimeFinding {
  /** null: several readings remain, or none; see `open`. */
  form: TimeForm | null;
  /** Forms in which every example can be read. */
  open: TimeForm[];
  /** Whether examples say their offset from UTC. */
  offsets: "all" | "none" | "some";
  because: string;
}

/**
 * How a column writes its times. Day before month or month before day is decided by the rows that allow only one; where
 * none does, both stay open, to be asked.
 * @param cells examples, not empty
 */
export function timeForm(cells: readonly string[]): TimeFinding {
  const tried = TIME_FORMS.map((form) => ({ form, read: cells.map((cell) => readWall(cell.trim(), form)) }));
  const whole = tried.filter(({ read }) => read.length > 0 && read.every((w) => w !== null));
  const offsetsOf = (read: (Wall | null)[]): TimeFinding["offsets"] => {
    const withClock = read.filter((w) => w?.clock);
    const said = withClock.filter((w) => w?.offset).length;
    return said === 0 ? "none" : said === withClock.length ? "all" : "some";
  };
  const open = whole.map(({ form }) => form);
  // An ISO date is also year, month, day: the stricter reading counts.
  const first = open.includes("iso") ? "iso" : open[0];
  const offsets = whole[0] ? offsetsOf(whole[0].read) : "none";
  if (first === undefined) return { ...contradiction(cells, tried), open, offsets };
  if (open.includes("mdy") && open.includes("dmy"))
    return {
      form: null,
      open: ["mdy", "dmy"],
      offsets,
      because: `${cells[0]} may begin with the day or with the month`,
    };
  return { form: first, open: [first], offsets, because: becauseOf(first, cells) };
}

function becauseOf(form: TimeForm, cells: readonly string[]): string {
  const other: TimeForm | null = form === "mdy" ? "dmy" : form === "dmy" ? "mdy" : null;
  const decides = other ? cells.find((cell) => readWall(cell.trim(), other) === null) : undefined;
  return decides
    ? `${decides} can only be ${form === "mdy" ? "month, day" : "day, month"}`
    : `${cells[0]}: ${TIME_FORM_SAYS[form].replace(/ \(.*/, "")}`;
}

function contradiction(
  cells: readonly string[],
  tried: { form: TimeForm; read: (Wall | null)[] }[],
): { form: null; because: string } {
  const missed = (form: TimeForm) => {
    const at = tried.find((t) => t.form === form)?.read.indexOf(null) ?? -1;
    return at >= 0 ? cells[at] : undefined;
  };
  const reads = (form: TimeForm) => tried.find((t) => t.form === form)?.read.some((w) => w !== null) ?? false;
  if (reads("mdy") && reads("dmy"))
    return { form: null, because: `${missed("dmy")} and ${missed("mdy")} do not have the same order of day and month` };
  const best = tried
    .map((t) => ({ form: t.form, n: t.read.filter((w) => w !== null).length }))
    .sort((a, b) => b.n - a.n)[0];
  return {
    form: null,
    because:
      best && best.n > 0
        ? `${best.n} of ${cells.length} are ${TIME_FORM_SAYS[best.form]}; ${missed(best.form)} is not`
        : `${cells[0] ?? "nothing"} is no time that can be read`,
  };
}
