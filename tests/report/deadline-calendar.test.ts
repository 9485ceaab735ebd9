import fc from "fast-check";
import ICAL from "ical.js";
import { describe, expect, test } from "vitest";
import { calendarText, deadlineCalendar, foldLine } from "../../lib/report/deadline-calendar.ts";

const MADE = Date.UTC(2026, 10, 28, 5, 6, 7);
const entry = (over: Partial<Parameters<typeof deadlineCalendar>[1][number]> = {}) => ({
  id: "S1/W1/notice/D1",
  day: "2026-12-31",
  title: "Notice due: Site one",
  says: "Read the contract.",
  reminders: [30, 7],
  ...over,
});
/** As another reader takes it: ical.js, a library of its own. */
const parsed = (text: string) => {
  const root = new ICAL.Component(ICAL.parse(text));
  return { root, events: root.getAllSubcomponents("vevent").map((c) => new ICAL.Event(c)) };
};

describe("foldLine", () => {
  // RFC 5545, 3.1, gives this line and its folded form as the same property.
  test("unfolds as the RFC's own example does", () => {
    const whole = "DESCRIPTION:This is a long description that exists on a long line.";
    const folded = "DESCRIPTION:This is a lo\r\n ng description\r\n  that exists on a long line.";
    expect(folded.replaceAll("\r\n ", "")).toBe(whole);
    expect(foldLine(whole).replaceAll("\r\n ", "")).toBe(whole);
  });
  test("no line has more than 75 octets, no letter is cut, and taking the folds out gives the line back", () => {
    fc.assert(
      fc.property(fc.string({ unit: "grapheme", maxLength: 400 }), (raw) => {
        const line = raw.replace(/[\r\n]/g, "");
        const pieces = foldLine(line).split("\r\n");
        for (const piece of pieces) expect(Buffer.byteLength(piece)).toBeLessThanOrEqual(75);
        expect(pieces.map((p, i) => (i === 0 ? p : p.slice(1))).join("")).toBe(line);
      }),
    );
  });
});

describe("calendarText", () => {
  // RFC 5545, 3.3.11: the text with these escapes means the lines below it.
  test("escapes as the RFC's own example", () => {
    expect(calendarText("Project XYZ Final Review\nConference Room - 3B\nCome Prepared.")).toBe(
      "Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared.",
    );
    expect(calendarText("a,b;c\\d\r\ne")).toBe("a\\,b\\;c\\\\d\\ne");
  });
});

describe("deadlineCalendar", () => {
  test("another reader finds the same days, words and alarms", () => {
    const says =
      "First, second; third\\fourth\nnext line with Ä and 屋根 and a very long tail that has to be folded somewhere";
    const { root, events } = parsed(
      deadlineCalendar("Book, one; two", [entry({ says }), entry({ id: "x", day: "2024-02-29" })], MADE),
    );
    expect(root.getFirstPropertyValue("version")).toBe("2.0");
    // NAME is of RFC 7986, which this reader does not know: it leaves the escapes of a TEXT standing.
    expect(root.getFirstPropertyValue("name")).toBe("Book\\, one\\; two");
    expect(events).toHaveLength(2);
    const [first, second] = events;
    expect(first?.uid).toBe("S1/W1/notice/D1");
    expect(first?.description).toBe(says);
    expect([first?.startDate.toString(), first?.endDate.toString(), first?.startDate.isDate]).toEqual([
      "2026-12-31",
      "2027-01-01",
      true,
    ]);
    expect([second?.startDate.toString(), second?.endDate.toString()]).toEqual(["2024-02-29", "2024-03-01"]);
    const alarms = first?.component.getAllSubcomponents("valarm") ?? [];
    expect(alarms.map((a) => String(a.getFirstPropertyValue("trigger")))).toEqual(["-P30D", "-P7D"]);
    expect(String(first?.component.getFirstPropertyValue("dtstamp"))).toBe("2026-11-28T05:06:07Z");
  });
  test("any words come back, and nothing in them can add a line of its own", () => {
    fc.assert(
      fc.property(fc.string({ unit: "grapheme", maxLength: 200 }), (words) => {
        const text = words.replace(/[^\P{Cc}\n]/gu, "");
        const { events } = parsed(deadlineCalendar("B", [entry({ title: text, says: `${text}\nBEGIN:VEVENT` })], MADE));
        expect(events).toHaveLength(1);
        expect(events[0]?.summary ?? "").toBe(text);
      }),
    );
  });
  test("every line ends with CRLF, also the last, and equal entries are equal text", () => {
    const text = deadlineCalendar("B", [entry()], MADE);
    expect(text.endsWith("END:VCALENDAR\r\n")).toBe(true);
    expect(text.replaceAll("\r\n", "")).not.toMatch(/[\r\n]/);
    expect(deadlineCalendar("B", [entry()], MADE)).toBe(text);
  });
  test("an empty calendar is one", () => {
    expect(parsed(deadlineCalendar("B", [], MADE)).events).toEqual([]);
  });
});
