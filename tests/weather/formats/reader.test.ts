import { readFileSync } from "node:fs";
import path from "node:path";
import { gunzipSync } from "node:zlib";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { CsvSplitter } from "../../../lib/contract/csv-records.ts";
import type { WeatherLine } from "../../../lib/weather/formats/hour-fold.ts";
import { decodeMetar, hourPrecipitation } from "../../../lib/weather/formats/metar.ts";
import { detectFormat, openReader, WEATHER_FORMATS, type WeatherFormat } from "../../../lib/weather/formats/reader.ts";
import type { ReaderOptions } from "../../../lib/weather/formats/reading.ts";

const DATA = path.resolve(import.meta.dirname, "../../data/weather");
const text = (name: string) => gunzipSync(readFileSync(path.join(DATA, name))).toString("utf8");
const OPTIONS: ReaderOptions = { stationId: "X1", fileName: "file", zoneOf: () => "America/New_York" };

/** Lines of a text through a reader; headers and comments give nothing. */
function read(
  format: WeatherFormat,
  content: string,
  options: Partial<ReaderOptions> = {},
): NonNullable<WeatherLine>[] {
  const { read: reader } = openReader(format, { ...OPTIONS, ...options });
  const splitter = new CsvSplitter();
  return [...splitter.push(content), ...splitter.end()].flatMap((record) => reader(record.cells) ?? []);
}
const cells = (line: NonNullable<WeatherLine> | undefined) => (line && "cells" in line ? line.cells : null);
/** The hours as the last line of each leaves them. */
function hours(lines: NonNullable<WeatherLine>[]): Map<string, string[]> {
  return new Map(lines.flatMap((l) => ("cells" in l ? [[`${l.cells[0]} ${l.cells[1]}`, l.cells] as const] : [])));
}

describe("ISD-Lite", () => {
  // Format text of NCEI as held in three public repositories: tenths, -9999 missing, -1 a trace.
  const line = "2019 01 05 13    44   -22 10132   270    57     4    -1 -9999";
  test("reads tenths, takes -1 for a trace and -9999 for missing, and the station from the file name", () => {
    const [first, second] = read(
      "isd-lite",
      `${line}\n2019 01 05 14 -9999   -22 10132   270 -9999     4 -9999 -9999\n`,
      { fileName: "722190-13874-2019.gz" },
    );
    expect(cells(first)).toEqual(["722190-13874", "2019-01-05T13:00:00.000Z", "0.05", "4.4", "-2.2", "", "5.7", ""]);
    expect(cells(second)?.slice(2, 7)).toEqual(["", "", "-2.2", "", ""]);
  });
  test("without a station in its name it takes the one given, and says so when there is none", () => {
    expect(cells(read("isd-lite", line)[0])?.[0]).toBe("X1");
    expect(read("isd-lite", line, { stationId: null })[0]).toMatchObject({
      reason: expect.stringContaining("--station"),
    });
  });
});

describe("USCRN", () => {
  // A published sub-hourly line (AZ Tucson, 2019-01-01), 23 fields.
  const sample =
    "53131 20190101 1615 20190101 0915      3 -111.17   32.24     3.3     0.0    183 0     4.0 C 0    87 0 -99.000 -9999.0  1182 0   0.36 0";
  test("reads a published sub-hourly line; its hour's rain stays unknown until all twelve parts are known", () => {
    expect(cells(read("uscrn", sample)[0])).toEqual([
      "53131",
      "2019-01-01T17:00:00.000Z",
      "",
      "3.3",
      "",
      "87",
      "0.36",
      "",
    ]);
    const parts = Array.from({ length: 12 }, (_, i) =>
      sample
        .replace(" 1615 ", ` ${String(1605 + i * 5 === 1660 ? 1700 : 1605 + i * 5)} `)
        .replace("     0.0    183", `     ${i < 2 ? "0.4" : "0.0"}    183`),
    );
    const lines = read("uscrn", parts.join("\n"));
    expect(cells(lines.at(-1))?.[2]).toBe("0.8");
    const gap = read(
      "uscrn",
      parts
        .map((p, i) => (i === 6 ? p.replace("     0.0    183", " -9999.0    183") : p.replace("     0.4", "     0.0")))
        .join("\n"),
    );
    expect(cells(gap.at(-1))?.[2]).toBe("");
  });
});

describe("USCRN hourly", () => {
  test("reads real lines: rain of the hour that ends there, humidity that the station lacks as unknown", () => {
    const content = readFileSync(path.join(DATA, "uscrn-lincoln-2023.txt"), "utf8");
    expect(detectFormat(content.split("\n").slice(0, 3))).toBe("uscrn");
    const found = read("uscrn", content).map((line) => cells(line) as string[]);
    expect(found.map((c) => [c[0], c[1]?.slice(8, 13), c[2], c[3], c[5]])).toEqual([
      ["94996", "02T18", "0", "2.2", ""],
      ["94996", "02T19", "0.3", "2", ""],
      ["94996", "02T20", "0.2", "1.8", ""],
      ["94996", "02T21", "0", "1.9", ""],
      ["94996", "02T22", "3.7", "1.9", ""],
      ["94996", "02T23", "2.1", "1.4", ""],
      ["94996", "03T00", "0", "1", ""],
    ]);
  });
});

describe("METAR", () => {
  test("decodes the examples of FMH-1 (FCM-H1-1995): temperatures, trace and hundredths, heavy rain shower, thunder", () => {
    const m = decodeMetar(
      "METAR KXXX 011955Z AUTO 22015G25KT 3/4SM +SHRA TS BKN005 03/M01 A2990 RMK AO2 TSB40 P0009 60217 T00261015",
    );
    expect(m).toMatchObject({
      station: "KXXX",
      day: 1,
      hour: 19,
      minute: 55,
      automatic: "AO2",
      temperatureC: 2.6,
      dewPointC: -1.5,
      thunder: true,
      weather: ["+SHRA", "TS"],
    });
    expect(m?.hourlyMm).toBeCloseTo(2.286, 6);
    expect(decodeMetar("KXXX 011955Z 00000KT 10SM CLR 02/ A2990 RMK AO2 P0000")).toMatchObject({
      temperatureC: 2,
      dewPointC: null,
      hourlyMm: 0.05,
      windMs: 0,
    });
  });
  test("without a P group a routine report with a gauge means none; PNO, a special and vicinity say nothing; rain that falls is wet", () => {
    const rain = (report: string, special = false) =>
      hourPrecipitation(decodeMetar(report) as NonNullable<ReturnType<typeof decodeMetar>>, special);
    expect(rain("KXXX 011955Z AUTO 00000KT 10SM CLR 02/M01 A2990 RMK AO2")).toBe(0);
    expect(rain("KXXX 011955Z AUTO 00000KT 10SM CLR 02/M01 A2990 RMK AO2 PNO $")).toBeNull();
    expect(rain("SPECI KXXX 011930Z AUTO 00000KT 10SM VCSH CLR 02/M01 A2990 RMK AO2", true)).toBeNull();
    expect(rain("EGXX 011950Z 22010KT 9999 -RA BKN010 08/07 Q1001")).toBe(0.05);
    expect(rain("EGXX 011950Z 22010KT 9999 VCSH BKN010 08/07 Q1001")).toBe(0);
  });
  test("a trend forecast is not weather, and a correction is a report", () => {
    const m = decodeMetar("MRLB COR 262100Z 29005KT 9999 FEW015 27/XX Q1009 TEMPO 4000 TSRA");
    expect(m).toMatchObject({ station: "MRLB", temperatureC: 27, dewPointC: null, thunder: false, weather: [] });
  });

  test("NIL, garbage and impossible times are no reports", () => {
    for (const bad of ["", "KXXX NIL", "METAR KXXX 011955Z NIL=", "KXXX 312560Z 00000KT", "hello world"])
      expect(decodeMetar(bad), bad).toBeNull();
  });

  test("agrees with the service's own decoding of 4,336 reports, field by field", () => {
    const lines = text("metar-2014.csv.gz").split(/\r?\n/);
    const from = lines.findIndex((l) => l.startsWith("raw_text,"));
    const header = (lines[from] as string).split(",");
    const at = (name: string) => header.indexOf(name);
    const agree = { temp: [0, 0], dew: [0, 0], wind: [0, 0], rain: [0, 0], thunder: [0, 0] } as Record<
      string,
      [number, number]
    >;
    const differ: string[] = [];
    let raw = "";
    const count = (field: string, same: boolean) => {
      const pair = agree[field] as [number, number];
      pair[0] += same ? 1 : 0;
      pair[1]++;
      if (!same) differ.push(`${field} ${raw.slice(0, 12)}`);
    };
    let reports = 0;
    const undecoded: string[] = [];
    for (const line of lines.slice(from + 1).filter((l) => l !== "")) {
      const row = line.split(",");
      raw = row[0] ?? "";
      const m = decodeMetar(raw);
      reports++;
      if (!m) {
        undecoded.push(raw.slice(0, 9));
        continue;
      }
      const given = (name: string) => (row[at(name)] === "" ? null : Number(row[at(name)]));
      const t = given("temp_c");
      const d = given("dewpoint_c");
      const w = given("wind_speed_kt");
      const p = given("precip_in");
      if (t !== null) count("temp", m.temperatureC !== null && Math.abs(m.temperatureC - t) < 0.06);
      if (d !== null) count("dew", m.dewPointC !== null && Math.abs(m.dewPointC - d) < 0.06);
      if (w !== null) count("wind", m.windMs !== null && Math.abs(m.windMs / 0.514444 - w) < 0.6);
      // The service writes 0.005 in for a trace; the manual's P0000 is "less than 0.01 in" and is our trace.
      if (p !== null)
        count(
          "rain",
          m.hourlyMm !== null && (p <= 0.005 ? m.hourlyMm === 0.05 : Math.abs(m.hourlyMm / 25.4 - p) < 0.001),
        );
      count("thunder", m.thunder === /TS/.test(row[at("wx_string")] ?? ""));
    }
    expect(reports).toBe(4336);
    // No report at all: another kind of message, a heading, a test text.
    expect(undecoded).toEqual(["UTO8 M M ", "PART 1 OF", "META CHEC"]);
    expect(differ).toEqual([
      // The service took the visibility group "0400/" for a temperature; the report says 09/08.
      "temp EDNY 262125Z",
      // No unit, or one that the manual does not know: the speed is not guessed.
      "wind MGTU 262100Z",
      // "SCTS" is a garbled cloud group, not thunder.
      "thunder GOGS 262100Z",
      "wind NFTF 262100Z",
      "wind KGPM 262050Z",
      "wind KWHP 262049Z",
      // The remarks give tenths (T03010141), which the manual puts before the whole degrees of the body.
      "dew KPSN 262030Z",
    ]);
    console.log(
      `METAR agreement: ${Object.entries(agree)
        .map(([f, [s, n]]) => `${f} ${s}/${n}`)
        .join(", ")}; ${undecoded.length} not decoded`,
    );
  });

  test("reads one report a line with a time in front, and takes thunder in the vicinity for thunder", () => {
    const [line] = read(
      "metar",
      "2014-09-26T21:53Z KATL 262153Z 09008KT 10SM VCTS FEW030 25/18 A3005 RMK AO2 T02500183\n",
    );
    expect(cells(line)).toEqual(["KATL", "2014-09-26T22:00:00.000Z", "0", "25", "18.3", "66.38", "4.12", "1"]);
  });
});

/** Inches by local standard day, of the folded hours and of the file's own daily rows. */
function rainByDay(folded: Map<string, string[]>): { hourly: number; daily: number; days: number } {
  const splitter = new CsvSplitter();
  const [header, ...rows] = [...splitter.push(text("lcd-atlanta-2020.csv.gz")), ...splitter.end()];
  const at = (name: string) => (header?.cells ?? []).indexOf(name);
  const out = { hourly: 0, daily: 0, days: 0 };
  for (const { cells: row } of rows) {
    if (row[at("REPORT_TYPE")]?.trim() !== "SOD") continue;
    out.days++;
    const day = row[at("DailyPrecipitation")] as string;
    out.daily += day === "T" ? 0 : Number(day.replace(/s$/, ""));
    const midnight = Date.parse(`${row[at("DATE")]?.slice(0, 10)}T05:00:00Z`);
    for (let k = 1; k <= 24; k++) {
      const mm = Number(folded.get(`72219013874 ${new Date(midnight + k * 3_600_000).toISOString()}`)?.[2] ?? 0);
      if (mm > 0.05) out.hourly += mm / 25.4;
    }
  }
  return out;
}

describe("LCD", () => {
  test("reads the whole Atlanta file: standard time, T for a trace, suspect values, and specials never summed", () => {
    const lines = read("lcd", text("lcd-atlanta-2020.csv.gz"));
    expect(lines.length).toBe(1998);
    const folded = hours(lines);
    // 00:52 local standard time is 05:52Z: the hour that ends at 06:00Z.
    expect(folded.get("72219013874 2020-01-01T06:00:00.000Z")?.slice(2)).toEqual([
      "0",
      "4.44",
      "-1.67",
      "65",
      "4.02",
      "",
    ]);
    const reasons = lines.flatMap((l) => ("reason" in l ? [l.reason] : []));
    expect(reasons.every((r) => r.includes("no hourly observation"))).toBe(true);
    const { hourly, daily, days } = rainByDay(folded);
    // Outside check: the file's own daily rows (SOD), local standard days, 17.46 in without traces.
    expect(days).toBe(52);
    expect(daily).toBeCloseTo(17.46, 6);
    // What is left are hours whose only report is a special, and values that the service corrected by day but not by hour.
    expect(Math.abs(hourly - daily)).toBeLessThan(0.02 * daily);
    expect([...folded.values()].filter((c) => c[7] === "1").length).toBeGreaterThan(5);
  });
  test("version 2 is metric: every routine row agrees with the METAR that stands in its own REM column", () => {
    const content = readFileSync(path.join(DATA, "lcd2-lincoln-2023.csv"), "utf8");
    expect(detectFormat(content.split("\n").slice(0, 3))).toBe("lcd");
    const lines = read("lcd", content, { zoneOf: () => "America/Chicago" });
    const folded = hours(lines);
    const reports = content.split("\n").flatMap((row) => {
      const raw = /METAR (K.*)$/.exec(row)?.[1];
      const decoded = raw ? decodeMetar(raw) : null;
      return decoded ? [decoded] : [];
    });
    expect(reports).toHaveLength(5);
    for (const m of reports) {
      const ends = new Date(Date.UTC(2023, 0, m.day, m.hour + 1)).toISOString();
      const [, , rain, temperature, dew, , wind, thunder] = folded.get(`USW00014939 ${ends}`) ?? [];
      expect([rain, thunder], ends).toEqual(["0", ends === "2023-01-01T15:00:00.000Z" ? "0" : ""]);
      expect(Number(temperature), ends).toBeCloseTo(m.temperatureC as number, 1);
      expect(Number(dew), ends).toBeCloseTo(m.dewPointC as number, 1);
      // The column is rounded to a tenth of a metre per second.
      expect(Math.abs(Number(wind) - (m.windMs as number)), ends).toBeLessThan(0.06);
    }
    expect(lines.filter((l) => "reason" in l)).toHaveLength(2);
  });
  test("a row whose station has no known zone is set aside and says what to give", () => {
    const lines = read("lcd", text("lcd-atlanta-2020.csv.gz").split("\n").slice(0, 3).join("\n"), {
      zoneOf: () => null,
    });
    expect(lines[0]).toMatchObject({ reason: expect.stringContaining("time_zone") });
  });
});

describe("ASOS archive CSV", () => {
  test("reads missing, trace and a wind of 1,048 mph as what they are", () => {
    const lines = read(
      "asos",
      "#DEBUG: comment\nstation,valid,tmpf,dwpf,relh,sknt,p01i,wxcodes,metar\nEWR,2013-02-12 07:51,39.02,26.06,59.37,911.0,T,-RA,M\nEWR,2013-02-12 08:51,M,M,M,5,M,M,M\n",
    );
    expect(lines).toHaveLength(2);
    expect(cells(lines[0])).toEqual(["EWR", "2013-02-12T08:00:00.000Z", "0.05", "3.9", "-3.3", "59.37", "", "0"]);
    expect(cells(lines[1])?.slice(2)).toEqual(["", "", "", "", "2.57", ""]);
  });
});

describe("detectFormat", () => {
  test("tells the formats apart by their content and nothing by chance", () => {
    expect(detectFormat(["2019 01 05 13    44   -22 10132   270    57     4    -1 -9999"])).toBe("isd-lite");
    expect(detectFormat(text("lcd-atlanta-2020.csv.gz").split("\n").slice(0, 3))).toBe("lcd");
    expect(detectFormat(text("metar-2014.csv.gz").split("\n").slice(0, 8))).toBe("metar");
    expect(detectFormat(["#DEBUG", "station,valid,tmpf,dwpf,relh,sknt,p01i,wxcodes,metar"])).toBe("asos");
    expect(detectFormat(["53131 20190101 1615 20190101 0915      3 -111.17   32.24     3.3"])).toBe("uscrn");
    expect(detectFormat(["site_id,name,portfolio", "S1,a,b"])).toBeNull();
  });
});

describe("every reader", () => {
  test("answers any line with an hour, a reason or nothing, and never throws", () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...WEATHER_FORMATS),
        fc.array(fc.array(fc.string({ maxLength: 20 }), { minLength: 1, maxLength: 12 }), { maxLength: 8 }),
        (format, rows) => {
          const { read: reader } = openReader(format, OPTIONS);
          for (const row of rows) {
            const line = reader(row);
            if (line && "cells" in line) expect(line.cells).toHaveLength(8);
          }
        },
      ),
      { numRuns: 200 },
    );
  });
});
