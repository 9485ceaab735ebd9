/** One deadline as a calendar carries it. */
export interface CalendarEntry {
  /** The same for the same deadline for good, so that a calendar moves an entry rather than doubling it. */
  id: string;
  /** YYYY-MM-DD, the site's own day. */
  day: string;
  title: string;
  says: string;
  /** Days before at which a calendar may remind. */
  reminders: readonly number[];
}

const DAY_MS = 86_400_000;
const MOST_OCTETS = 75;

/** TEXT of RFC 5545 3.3.11: backslash, semicolon, comma and line ends escaped; other control characters have no place. */
export function calendarText(text: string): string {
  return text
    .replace(/[\\;,]/g, (sign) => `\\${sign}`)
    .replace(/\r\n?|\n/g, "\\n")
    .replace(/[^\P{Cc}\t]/gu, "");
}

/** A content line of RFC 5545 3.1 in pieces of at most 75 octets, never cut inside a letter. */
export function foldLine(line: string): string {
  const pieces: string[] = [];
  let piece = "";
  let octets = 0;
  for (const letter of line) {
    const size = Buffer.byteLength(letter);
    if (octets + size > MOST_OCTETS) {
      pieces.push(piece);
      piece = " ";
      octets = 1;
    }
    piece += letter;
    octets += size;
  }
  return [...pieces, piece].join("\r\n");
}

const compact = (iso: string) => iso.replace(/[-:]|\.\d{3}/g, "");

/**
 * An iCalendar object (RFC 5545) of whole-day events. Dates float: the day is the site's own, wherever it is read.
 * @param madeAt epoch ms, the stamp of every event: equal entries give equal text
 */
export function deadlineCalendar(name: string, entries: readonly CalendarEntry[], madeAt: number): string {
  const lines = [
    "BEGIN:VCALENDAR",
    "VERSION:2.0",
    "PRODID:-//Raintrip//Deadlines 1//EN",
    "CALSCALE:GREGORIAN",
    "METHOD:PUBLISH",
    // RFC 7986.
    `NAME:${calendarText(name)}`,
    "REFRESH-INTERVAL;VALUE=DURATION:PT6H",
  ];
  for (const entry of entries) {
    const next = new Date(Date.parse(`${entry.day}T00:00:00Z`) + DAY_MS).toISOString().slice(0, 10);
    lines.push(
      "BEGIN:VEVENT",
      `UID:${calendarText(entry.id)}`,
      `DTSTAMP:${compact(new Date(madeAt).toISOString())}`,
      `DTSTART;VALUE=DATE:${compact(entry.day)}`,
      `DTEND;VALUE=DATE:${compact(next)}`,
      `SUMMARY:${calendarText(entry.title)}`,
      `DESCRIPTION:${calendarText(entry.says)}`,
      "TRANSP:TRANSPARENT",
    );
    for (const days of entry.reminders)
      lines.push(
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        `TRIGGER:-P${days}D`,
        `DESCRIPTION:${calendarText(entry.title)}`,
        "END:VALARM",
      );
    lines.push("END:VEVENT");
  }
  lines.push("END:VCALENDAR");
  return `${lines.map(foldLine).join("\r\n")}\r\n`;
}
