import { describe, expect, test } from "vitest";
import { zoneOffsetMs } from "../../lib/core/zoned-time.ts";
import { guessMapping } from "../../lib/mapping/guess-mapping.ts";
import { openQuestions } from "../../lib/mapping/open-questions.ts";
import { tableSample } from "../../lib/mapping/table-sample.ts";
import { contractTime } from "../../lib/mapping/written-time.ts";
import { impliedOffset, nameFindings, zoneMeanings } from "../../lib/mapping/zone-names.ts";

const JANUARY = Date.UTC(2025, 0, 15, 12);
const JULY = Date.UTC(2025, 6, 15, 12);
const text = (ms: number) => {
  const minutes = Math.abs(ms) / 60_000;
  const two = (n: number) => String(n).padStart(2, "0");
  return `${ms < 0 ? "-" : "+"}${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
};

describe("zoneMeanings", () => {
  // CLDR's short names of zones, as the platform's Intl shows them to readers of that country.
  test.each([
    ["America/New_York", "en-US"],
    ["America/Chicago", "en-US"],
    ["America/Denver", "en-US"],
    ["America/Los_Angeles", "en-US"],
    ["America/Anchorage", "en-US"],
    ["Pacific/Honolulu", "en-US"],
    ["America/Halifax", "en-CA"],
    ["America/St_Johns", "en-CA"],
    ["Europe/Lisbon", "en-GB"],
    ["Europe/Berlin", "en-GB"],
    ["Europe/Athens", "en-GB"],
    ["Australia/Sydney", "en-AU"],
    ["Australia/Adelaide", "en-AU"],
    ["Pacific/Auckland", "en-NZ"],
    ["Asia/Kolkata", "en-IN"],
    ["Africa/Johannesburg", "en-ZA"],
  ])("%s goes by the names that CLDR has for it, at its own offset", (timeZone, locale) => {
    for (const at of [JANUARY, JULY]) {
      const shown = new Intl.DateTimeFormat(locale, { timeZone, timeZoneName: "short" }).formatToParts(at);
      const name = shown.find((part) => part.type === "timeZoneName")?.value ?? "";
      expect(zoneMeanings(name)).toContainEqual(
        expect.objectContaining({ zone: timeZone, offset: text(zoneOffsetMs(timeZone, at)) }),
      );
    }
  });
});

describe("nameFindings", () => {
  const at = (name: string, iso: string, siteZone: string | null) => ({
    name,
    wallMs: Date.parse(`${iso}Z`),
    siteZone,
  });
  const one = (...times: ReturnType<typeof at>[]) => nameFindings(times)[0];

  test("one meaning counts alone; one of several only where a site's zone uses it", () => {
    expect(one(at("CET", "2025-01-05T10:00", null))).toMatchObject({ offset: "+01:00" });
    expect(one(at("CST", "2025-01-05T10:00", null))).toMatchObject({
      offset: null,
      asks: expect.stringContaining("China"),
    });
    expect(one(at("CST", "2025-01-05T10:00", "America/Chicago"))).toMatchObject({ offset: "-06:00" });
    expect(one(at("CST", "2025-01-05T10:00", "Asia/Shanghai"))).toMatchObject({ offset: "+08:00" });
    expect(one(at("IST", "2025-07-05T10:00", "Asia/Kolkata"))).toMatchObject({ offset: "+05:30" });
  });
  test("is asked where the sites have another clock, where the season does not fit, and where nobody knows the name", () => {
    expect(one(at("CET", "2025-01-05T10:00", "America/Chicago"))).toMatchObject({ offset: null });
    expect(one(at("EST", "2025-07-14T10:00", "America/New_York"))).toMatchObject({
      offset: null,
      asks: expect.stringContaining("2025-07-14"),
    });
    expect(one(at("EST", "2025-07-14T10:00", null))).toMatchObject({ offset: null });
    expect(one(at("QQT", "2025-07-14T10:00", null))).toMatchObject({ offset: null });
    // Arizona keeps standard time in summer.
    expect(one(at("MST", "2025-07-14T10:00", "America/Phoenix"))).toMatchObject({ offset: "-07:00" });
  });
  test("a name that comes later is implied by its sibling, never by a guess", () => {
    expect(impliedOffset("EDT", {})).toBe("-04:00");
    expect(impliedOffset("CDT", {})).toBeNull();
    expect(impliedOffset("CDT", { cst: "-06:00" })).toBe("-05:00");
    expect(impliedOffset("CDT", { cst: "+08:00" })).toBeNull();
  });
});

describe("times that name their zone", () => {
  const LOG = `Plant,Device,Code,Start
A,1,GROUND_FAULT,11/02/2025 1:30 AM EDT
A,1,GROUND_FAULT,11/02/2025 1:30 AM EST
A,1,GROUND_FAULT,11/25/2025 3:00 PM EST
`;
  test("the repeated hour of autumn is told apart by its name", () => {
    const sample = tableSample("alarms.csv", LOG, true);
    const { mapping, because } = guessMapping(sample, "faults", (site) =>
      site === "A" ? "America/New_York" : undefined,
    );
    const rule = mapping.columns.find((c) => c.to === "started_at");
    expect(rule).toMatchObject({ form: "mdy", zone: "UTC", words: { edt: "-04:00", est: "-05:00" } });
    expect(because.started_at).toContain("EST is UTC-05:00, as America/New_York has it");
    expect(openQuestions(mapping, sample)).toEqual([]);
    const read = (cell: string) => Date.parse(contractTime(cell, "mdy", "UTC", rule?.words) ?? "");
    expect(read("11/02/2025 1:30 AM EST") - read("11/02/2025 1:30 AM EDT")).toBe(3_600_000);
  });
  test("CST of unknown sites is asked, and either answer is kept to", () => {
    const sample = tableSample("alarms.csv", LOG.replaceAll(/E[DS]T/g, "CST"), true);
    const { mapping } = guessMapping(sample, "faults");
    const [asked] = openQuestions(mapping, sample);
    expect(asked).toMatchObject({ about: "started_at", part: "words" });
    expect(asked?.says).toMatch(/UTC-06:00 \(central North America\) or UTC-05:00 \(Cuba\) or UTC\+08:00 \(China\)/);
    expect(contractTime("11/02/2025 1:30 AM CST", "mdy", "UTC", { cst: "-06:00" })).toBe("2025-11-02T01:30:00-06:00");
    expect(contractTime("11/02/2025 1:30 AM CST", "mdy", "site", { cst: "site" })).toBe("2025-11-02T01:30:00");
    expect(contractTime("11/02/2025 1:30 AM CST", "mdy", "UTC", {})).toBeNull();
  });
});
