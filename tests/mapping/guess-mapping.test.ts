import { describe, expect, test } from "vitest";
import { CONTRACT_FILES } from "../../lib/contract/files.ts";
import { bareRule } from "../../lib/mapping/bare-rule.ts";
import { guessMapping } from "../../lib/mapping/guess-mapping.ts";
import { rowMap } from "../../lib/mapping/map-row.ts";
import type { Mapping } from "../../lib/mapping/mapping.ts";
import { codesIn, openQuestions } from "../../lib/mapping/open-questions.ts";
import { tableSample } from "../../lib/mapping/table-sample.ts";

const read = (file: string, text: string, kind?: string) => {
  const sample = tableSample(file, text, true);
  const guess = guessMapping(sample, kind);
  const asked = openQuestions(guess.mapping, sample).map((q) => `${q.about} ${q.part}`);
  const from = Object.fromEntries(
    guess.mapping.columns.map((rule) => [
      rule.to,
      rule.at === null ? `= ${rule.fixed}` : (sample.header[rule.at] ?? ""),
    ]),
  );
  return { sample, ...guess, asked, from, rule: (to: string) => guess.mapping.columns.find((c) => c.to === to) };
};
const rows = (mapping: Mapping, sample: ReturnType<typeof tableSample>) => {
  const spec = CONTRACT_FILES.find((s) => s.kind === mapping.kind);
  if (!spec) throw new Error("no kind");
  const mapped = rowMap(mapping, spec, sample.header.length);
  return sample.rows.map((cells, i) => {
    const { cells: got, unfit } = mapped.map({ cells, line: i + 2 });
    return unfit ?? Object.fromEntries(mapped.header.map((name, at) => [name, got[at]]));
  });
};

test("hours of weather named by their start are stored by their end; a heading may say which", () => {
  const text = "station;TIME utc;temp (C);rain mm\nA;2025-07-01 12:00;21,5;0,2\nA;2025-12-31 23:00;1,5;0\n";
  const times = (heading: string, hour?: "starts" | "ends") => {
    const { mapping, sample, asked } = read("weather.txt", text.replace("TIME utc", heading));
    if (hour) for (const rule of mapping.columns) if (rule.to === "observed_at") rule.hour = hour;
    return { asked, at: rows(mapping, sample).map((row) => (row as Record<string, string>).observed_at) };
  };
  const BY_START = ["2025-07-01T13:00:00.000Z", "2026-01-01T00:00:00.000Z"];
  expect(times("time utc").asked).toEqual(["observed_at hour"]);
  expect(times("time utc", "starts").at).toEqual(BY_START);
  expect(times("time utc", "ends").at).toEqual(["2025-07-01T12:00Z", "2025-12-31T23:00Z"]);
  expect(times("hour beginning (UTC)")).toEqual({ asked: [], at: BY_START });
  expect(times("hour ending (UTC)").asked).toEqual([]);
});

describe("guessMapping", () => {
  test("an alarm export with US dates: columns by name, order of the date by one row, codes and clock asked", () => {
    const { mapping, from, asked, sample } = read(
      "alarm export.csv",
      `Plant,Device,Alarm Code,Alarm Text,Start Time,End Time,Ack By
Mill Road,INV-1,GF-01,Ground fault detected,03/04/2025 6:10 AM,03/04/2025 9:00 AM,ab
Mill Road,INV-2,TH-7,Fan failure,03/25/2025 1:10 PM,03/25/2025 1:20 PM,ab
`,
    );
    expect(mapping.kind).toBe("faults");
    expect(from).toMatchObject({
      site_id: "Plant",
      inverter_id: "Device",
      code: "Alarm Code",
      message: "Alarm Text",
      started_at: "Start Time",
      ended_at: "End Time",
    });
    expect(mapping.columns.find((c) => c.to === "started_at")?.form).toBe("mdy");
    expect(asked).toEqual(["started_at zone", "ended_at zone", "vocabulary vocabulary"]);
    expect(codesIn(sample, mapping).map((c) => [c.code, c.ground])).toEqual([
      ["GF-01", true],
      ["TH-7", false],
    ]);
  });

  test("03/04/2025 alone is asked", () => {
    const { asked } = read("alarms.csv", "Site,Inverter,Code,Start\nA,1,GROUND_FAULT,03/04/2025 06:10\n");
    expect(asked).toEqual(["started_at form", "started_at zone"]);
  });

  test("rain in inches and °F, UTC in the heading; -999 is unknown", () => {
    const { mapping, asked, sample } = read(
      "met.csv",
      "Station,Timestamp (UTC),Air Temp (°F),Rain (in),Wind Speed (mph),RH (%)\nKX,2025-04-03 14:00,50,0.04,10,87\nKX,2025-04-03 15:00,-999,0,0,88\n",
    );
    expect(mapping.kind).toBe("weather");
    expect(asked).toEqual(["observed_at hour"]);
    expect(rows(mapping, sample)).toEqual([
      {
        station_id: "KX",
        observed_at: "2025-04-03T14:00Z",
        temperature_c: "10",
        precipitation_mm: "1.016",
        wind_m_s: "4.4704",
        relative_humidity_pct: "87",
      },
      {
        station_id: "KX",
        observed_at: "2025-04-03T15:00Z",
        temperature_c: "",
        precipitation_mm: "0",
        wind_m_s: "0",
        relative_humidity_pct: "88",
      },
    ]);
  });

  test("a heading without a unit is asked, unless the values are impossible in every other", () => {
    const asked = read("weather.txt", "station;time utc;temp;rain\nA;2025-07-01 12:00;21,5;0,2\n").asked;
    expect(new Set(asked)).toEqual(new Set(["precipitation_mm unit", "temperature_c unit", "observed_at hour"]));
    const hot = read("weather.txt", "station;time utc;temp;rain mm\nA;2025-07-01 12:00;98,5;0,2\n");
    expect(hot.asked).toEqual(["observed_at hour"]);
    expect(hot.rule("temperature_c")?.unit).toBe("f");
    expect(hot.mapping.decimal).toBe("comma");
  });

  test("insulation in megohms, ohms, unit in the value, or a small m that is asked", () => {
    const of = (heading: string, cell: string) =>
      read("riso.csv", `site,inverter,timestamp utc,${heading}\nA,1,2025-04-03T05:00:00Z,${cell}\n`, "readings");
    const mapped = (heading: string, cell: string) => rows(of(heading, cell).mapping, of(heading, cell).sample)[0];
    expect(mapped("Riso [MΩ]", "1.25")).toMatchObject({ insulation_kohm: "1250" });
    expect(mapped("insulation_ohm", "250000")).toMatchObject({ insulation_kohm: "250" });
    expect(mapped("Insulation resistance", "0.8 MΩ")).toMatchObject({ insulation_kohm: "800" });
    expect(of("Riso (mohm)", "1.25").asked).toEqual(["insulation_kohm unit"]);
    expect(of("Riso", "1.25").asked).toEqual(["insulation_kohm unit"]);
  });

  test("date and time of day in two columns, semicolons, decimal commas, a title above the names", () => {
    const { sample, mapping, asked } = read(
      "log.csv",
      "Insulation log of the week\nExported by somebody\nSystem;Unit No;Date;Time;R iso kOhm\nA;1;25.03.2025;05:10;1.250,5\nA;1;03.04.2025;6:10;12,5\n",
      "readings",
    );
    expect(sample).toMatchObject({ delimiter: ";", headerAt: 2 });
    expect(asked).toEqual(["observed_at zone"]);
    const said = {
      ...mapping,
      columns: mapping.columns.map((c) => (c.to === "observed_at" ? { ...c, zone: "site" } : c)),
    };
    expect(rows(said, sample)).toEqual([
      { site_id: "A", inverter_id: "1", observed_at: "2025-03-25T05:10:00", insulation_kohm: "1250.5" },
      { site_id: "A", inverter_id: "1", observed_at: "2025-04-03T06:10:00", insulation_kohm: "12.5" },
    ]);
  });

  test("epoch times need no zone; SunSpec names need no vocabulary, bare numbers do", () => {
    const named = read("events.csv", "siteId,inverterId,startTime,event\nA,1,1743688800,GROUND_FAULT\n");
    expect(named.mapping.vocabulary).toMatchObject({ system: "sunspec_evt1" });
    expect(named.asked).toEqual([]);
    expect(rows(named.mapping, named.sample)[0]).toMatchObject({
      started_at: "2025-04-03T14:00:00Z",
      code_system: "sunspec_evt1",
    });
    expect(read("events.csv", "siteId,inverterId,startTime,event\nA,1,1743688800,1\n").asked).toEqual([
      "vocabulary vocabulary",
    ]);
  });

  test("inspections: words of the outcome are known or asked, milliohms become ohms, and the check must be said", () => {
    const { mapping, asked, sample } = read(
      "bond tests.csv",
      "Site,Test Date,Result,Bond resistance (mΩ),Technician\nA,2025-03-25,Passed,85,X\nA,2025-03-26,N.G.,250,X\n",
      "inspections",
    );
    expect(asked).toEqual(["check column", "outcome words"]);
    const said: Mapping = {
      ...mapping,
      columns: [
        ...mapping.columns.map((c) => (c.to === "outcome" ? { ...c, words: { ...c.words, "n.g.": "fail" } } : c)),
        { ...bareRule("check", null), fixed: "bond_resistance" },
      ],
    };
    expect(openQuestions(said, sample)).toEqual([]);
    expect(rows(said, sample)).toEqual([
      {
        site_id: "A",
        inspected_at: "2025-03-25",
        outcome: "pass",
        value: "0.085",
        inspector: "X",
        unit: "ohm",
        check: "bond_resistance",
      },
      {
        site_id: "A",
        inspected_at: "2025-03-26",
        outcome: "fail",
        value: "0.25",
        inspector: "X",
        unit: "ohm",
        check: "bond_resistance",
      },
    ]);
  });

  test("a list of plants: watts become kilowatts, and what no column holds is asked", () => {
    const { from, asked, sample, mapping } = read(
      "plants.csv",
      "Plant ID,Plant Name,Client,Lat,Lng,DC size (W),AC size (kW),Commissioning date\nP1,Mill Road,Fund A,40.7,-74.0,12500,10,2019-05-01\n",
    );
    expect(mapping.kind).toBe("sites");
    expect(from).toMatchObject({
      site_id: "Plant ID",
      name: "Plant Name",
      portfolio: "Client",
      latitude: "Lat",
      longitude: "Lng",
      dc_kw: "DC size (W)",
      ac_kw: "AC size (kW)",
      commissioned_on: "Commissioning date",
    });
    expect(asked).toEqual(["time_zone column"]);
    expect(rows(mapping, sample)[0]).toMatchObject({ dc_kw: "12.5", ac_kw: "10" });
  });

  test("a value that cannot be read in its form is unfit, never passed on as it stands", () => {
    const { mapping, sample } = read(
      "met.csv",
      "Station,Time UTC,Temp C,Rain mm\nKX,2025-04-03 14:00,12.5,0.4\nKX,2025-04-03 15:00,warm,0.4\nKX,yesterday,1,1\n",
      "weather",
    );
    // The column of times has one that is none, so its form is asked first.
    expect(mapping.columns.find((c) => c.to === "observed_at")?.form).toBeNull();
    const said = {
      ...mapping,
      columns: mapping.columns.map((c) => (c.to === "observed_at" ? { ...c, form: "iso" as const } : c)),
    };
    expect(rows(said, sample).slice(1)).toEqual([
      { column: "temperature_c", value: "warm", reason: "not a number with a decimal point" },
      { column: "observed_at", value: "yesterday", reason: expect.stringContaining("ISO 8601") },
    ]);
  });

  test("a file that says nothing is asked what it holds", () => {
    expect(read("x.csv", "foo,bar\n1,2\n")).toMatchObject({ mapping: { kind: null }, asked: ["kind kind"] });
  });
});
