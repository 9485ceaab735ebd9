import { describe, expect, test } from "vitest";
import { contractDay, contractTime, timeForm } from "../../lib/mapping/written-time.ts";

describe("timeForm", () => {
  test("asks where every row may begin with the day or with the month", () => {
    expect(timeForm(["03/04/2025 10:00", "05/06/2025 11:00"])).toMatchObject({ form: null, open: ["mdy", "dmy"] });
  });
  test("is decided by one row that allows only one order", () => {
    expect(timeForm(["03/04/2025", "03/25/2025"])).toMatchObject({
      form: "mdy",
      because: "03/25/2025 can only be month, day",
    });
    expect(timeForm(["03/04/2025", "25.03.2025"].map((t) => t.replaceAll(".", "/")))).toMatchObject({ form: "dmy" });
    expect(timeForm(["3.4.25 9:05", "31.12.25 23:59"])).toMatchObject({ form: "dmy" });
  });
  test("takes no order where two rows contradict each other, and says which", () => {
    const found = timeForm(["03/25/2025", "25/03/2025"]);
    expect(found.form).toBeNull();
    expect(found.open).toEqual([]);
    expect(found.because).toContain("do not have the same order");
  });
  test("tells ISO with, without and with some offsets", () => {
    expect(timeForm(["2025-04-03T14:00:00Z", "2025-04-03 15:00+02:00"])).toMatchObject({ form: "iso", offsets: "all" });
    expect(timeForm(["2025-04-03 14:00", "2025-04-03T15:00:01.250"])).toMatchObject({ form: "iso", offsets: "none" });
    expect(timeForm(["2025-04-03T14:00Z", "2025-04-03T15:00"])).toMatchObject({ form: "iso", offsets: "some" });
  });
  test("tells seconds, milliseconds, day numbers and months by name apart", () => {
    expect(timeForm(["1743688800", "1743692400"]).form).toBe("epoch_s");
    expect(timeForm(["1743688800000"]).form).toBe("epoch_ms");
    expect(timeForm(["45750.5833333333", "45751"]).form).toBe("serial_day");
    expect(timeForm(["3-Apr-2025 14:00", "Apr 4, 2025 2:00 PM"]).form).toBe("named_month");
    expect(timeForm(["2025/4/3 9:05", "2025/12/31 10:00"]).form).toBe("ymd");
  });
  test("finds no form in what is no time", () => {
    expect(timeForm(["GF-01", "GF-02"])).toMatchObject({ form: null, open: [] });
    expect(timeForm(["31/31/2025"]).open).toEqual([]);
  });
});

describe("contractTime", () => {
  test("is local to the site, to UTC or to a zone, as somebody said", () => {
    expect(contractTime("4/3/2025 2:05 PM", "mdy", "site")).toBe("2025-04-03T14:05:00");
    expect(contractTime("4/3/2025 12:00 AM", "dmy", "UTC")).toBe("2025-03-04T00:00:00Z");
    // New York is at UTC-4 in summer, UTC-5 in winter (IANA time zone database).
    expect(contractTime("4/3/2025 14:00", "mdy", "America/New_York")).toBe("2025-04-03T18:00:00.000Z");
    expect(contractTime("1/3/2025 14:00", "mdy", "America/New_York")).toBe("2025-01-03T19:00:00.000Z");
  });
  test("keeps an offset that the value says itself, and a date alone as a day", () => {
    expect(contractTime("2025-04-03T14:00:00-05:00", "iso", "site")).toBe("2025-04-03T14:00:00-05:00");
    expect(contractTime("03.04.2025", "dmy", "site")).toBe("2025-04-03");
  });
  test("counts seconds from 1970 and days from the end of 1899", () => {
    // 1234567890 s is 2009-02-13 23:31:30 UTC, by any POSIX clock (from memory); day 45658 is 1 January 2025 in spreadsheets (from memory).
    expect(contractTime("1234567890", "epoch_s", "site")).toBe("2009-02-13T23:31:30Z");
    expect(contractTime("1234567890000", "epoch_ms", "site")).toBe("2009-02-13T23:31:30Z");
    expect(contractTime("45658.5", "serial_day", "site")).toBe("2025-01-01T12:00:00");
    expect(contractDay("45658", "serial_day")).toBe("2025-01-01");
  });
  test("gives nothing for days that are none and for the wrong form", () => {
    expect(contractTime("2/30/2025 10:00", "mdy", "site")).toBeNull();
    expect(contractTime("25/03/2025 10:00", "mdy", "site")).toBeNull();
    expect(contractTime("3 Foo 2025", "named_month", "site")).toBeNull();
  });
});
