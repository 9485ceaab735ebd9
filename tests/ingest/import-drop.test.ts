import { readFileSync } from "node:fs";
import path from "node:path";
import { gzipSync } from "node:zlib";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { forEachFault, type StoredFault } from "../../lib/store/fault-rows.ts";
import { FaultRowSchema, selectList } from "../../lib/store/record-rows.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { weatherSeries } from "../../lib/store/weather.ts";
import { cancelImport, createImport, runImport, writeSetAside } from "../../lib/writes/import-drop.ts";
import { BASE_DROP, dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

useTestDatabase();

async function importFiles(files: Record<string, string | Buffer>, options = {}) {
  const folder = dropFolder(files);
  const importId = await createImport(LOCAL_ACTOR, { name: "test", options });
  const { files: counts } = await runImport(LOCAL_ACTOR, importId, { folder });
  for (const f of counts) expect(f.accepted + f.unchanged + f.set_aside, f.file).toBe(f.rows);
  return { importId, folder, of: (file: string) => counts.find((f) => f.file === file), counts };
}

const rows = <T = Record<string, unknown>>(sql: string) =>
  readTransaction(LOCAL_ACTOR, async (tx) => (await tx.unsafe(sql)).map((row) => ({ ...row }) as T));
const asideOf = (importId: string) =>
  rows<{ file: string; line: string; column: string; reason: string }>(
    `SELECT f.file, s.line, s."column", s.reason FROM set_aside_row s JOIN import_file f USING (account_id, import_id, position)
     WHERE import_id = '${importId}' ORDER BY position, line`,
  );
const SITE_HEADER = "site_id,name,portfolio,latitude,longitude,time_zone,dc_kw,ac_kw";

describe("runImport", () => {
  test("stores a drop, and importing it again changes nothing: no row, no revision", async () => {
    const first = await importFiles(BASE_DROP);
    expect(first.counts.map((f) => [f.file, f.accepted, f.set_aside])).toEqual([
      ["sites.csv", 2, 0],
      ["inverters.csv", 3, 0],
      ["sections.csv", 2, 0],
    ]);
    const before = await rows("SELECT site_id, revision FROM site ORDER BY 1");
    const again = await importFiles(BASE_DROP);
    expect(again.counts.every((f) => f.accepted === 0 && f.unchanged === f.rows)).toBe(true);
    expect(await rows("SELECT site_id, revision FROM site ORDER BY 1")).toEqual(before);
  });

  test("a column absent from the file leaves stored values alone; an empty cell in a present column sets unknown", async () => {
    await importFiles(BASE_DROP);
    const cells = "S1,Millgate,North,40.7,-74.0,America/New_York,20,16";
    await importFiles({ "sites.csv": `${SITE_HEADER},installer,access\n${cells},Installer A,Fenced\n` });
    const stored = () => rows("SELECT installer, access FROM site WHERE site_id = 'S1'");
    expect(await stored()).toEqual([{ installer: "Installer A", access: "fenced" }]);
    await importFiles({ "sites.csv": `${SITE_HEADER},access\n${cells},\n` });
    expect(await stored()).toEqual([{ installer: "Installer A", access: null }]);
  });

  test("of rows with one key the last wins, the earlier are unchanged, and an empty key column is an empty string", async () => {
    await importFiles(BASE_DROP);
    const { of } = await importFiles({
      "inspections.csv":
        "site_id,inspected_at,check,section_id,outcome,note\nS1,2026-01-05,egc_continuous,,pass,first\nS1,2026-01-05,egc_continuous,,fail,second\n",
    });
    expect(of("inspections.csv")).toMatchObject({ rows: 2, accepted: 1, unchanged: 1, set_aside: 0 });
    expect(await rows("SELECT outcome, note, section_id, inspected_day_only FROM inspection")).toEqual([
      { outcome: "fail", note: "second", section_id: "", inspected_day_only: true },
    ]);
  });

  test("a site that a file puts into two books, and one that leaves its book, are each named; nothing is lost", async () => {
    const line = (id: string, book: string) => `${id},Name,${book},40,-74,America/New_York,5,6\n`;
    const two = `${SITE_HEADER}\n${line("B1", "North")}${line("B2", "North")}${line("B1", "South")}`;
    const first = await importFiles({ "sites.csv": two });
    expect(first.of("sites.csv")?.notes).toContainEqual(
      expect.stringMatching(/^A site is in one book, and 1 row puts it .*: B1 \(North to South\)/),
    );
    expect(await rows("SELECT site_id, portfolio FROM site WHERE site_id LIKE 'B_' ORDER BY 1")).toEqual([
      { site_id: "B1", portfolio: "South" },
      { site_id: "B2", portfolio: "North" },
    ]);
    const second = await importFiles({ "sites.csv": `${SITE_HEADER}\n${line("B1", "South")}${line("B2", "South")}` });
    expect(second.of("sites.csv")?.notes).toEqual([
      expect.stringMatching(/^1 site moves to another book, and its owner with it: B2 \(North to South\)/),
    ]);
    const third = await importFiles({ "sites.csv": `${SITE_HEADER}\n${line("B1", "South")}${line("B2", "South")}` });
    expect(third.of("sites.csv")?.notes).toEqual([]);
  });

  test("reads gzip, CRLF, a BOM, quoted line ends and columns in any order", async () => {
    const text = `\ufeffname,site_id,portfolio,longitude,latitude,time_zone,ac_kw,dc_kw,access_note\r\n"Two\r\nlines, and a comma",Z9,South,-74,40,America/New_York,5,6,"say ""hello"""\r\n`;
    const { of } = await importFiles({ "sites.csv.gz": gzipSync(text) });
    expect(of("sites.csv.gz")).toMatchObject({ rows: 1, accepted: 1 });
    expect(await rows("SELECT name, access_note FROM site WHERE site_id = 'Z9'")).toEqual([
      { name: "Two\r\nlines, and a comma", access_note: 'say "hello"' },
    ]);
  });

  test("local times are the site's; an ambiguous one takes the first, a skipped one moves on; both are counted", async () => {
    await importFiles(BASE_DROP);
    const { of } = await importFiles({
      "faults.csv":
        "site_id,inverter_id,started_at,code\nS1,I1,2013-11-03T01:30,1\nS1,I1,2013-03-10T02:30,1\nS1,I1,2013-07-01T12:00:00Z,1\n",
    });
    expect(of("faults.csv")?.notes.join(" ")).toMatch(/1 local time occurs twice.*1 local time does not exist/);
    const stored = await rows<{ at: Date }>("SELECT started_at AS at FROM fault WHERE site_id = 'S1' ORDER BY 1");
    expect(stored.map((r) => r.at.toISOString())).toEqual([
      "2013-03-10T07:30:00.000Z",
      "2013-07-01T12:00:00.000Z",
      "2013-11-03T05:30:00.000Z",
    ]);
  });

  test("sections may name each other in any order; a bond to nowhere or to itself is set aside", async () => {
    await importFiles(BASE_DROP);
    const { of, importId } = await importFiles({
      "sections.csv": "site_id,section_id,inverter_id,bonded_to\nS2,X,I1,Y\nS2,Y,I1,bus\nS2,V,I1,V\nS2,W,I1,A\n",
    });
    expect(of("sections.csv")).toMatchObject({ accepted: 2, set_aside: 2 });
    expect((await asideOf(importId)).map((r) => [Number(r.line), r.column])).toEqual([
      [4, "bonded_to"],
      [5, "bonded_to"],
    ]);
  });

  test("every kind of bad row is set aside with its line, column and a reason, and stops no other row", async () => {
    await importFiles(BASE_DROP);
    const good = ["T1", "Name", "P", "40", "-74", "America/New_York", "5", "4", "", "", "", ""];
    const bad = (at: number, cell: string) => good.map((c, i) => (i === at ? cell : c)).join(",");
    const { importId, of } = await importFiles({
      "sites.csv": [
        `${SITE_HEADER},mounting,gec_awg,currency,access_from`,
        good.join(","),
        bad(0, ""),
        bad(3, "95"),
        bad(4, "-181"),
        bad(5, "Mars/Olympus"),
        bad(6, "-3"),
        bad(7, "four"),
        bad(8, "wall"),
        bad(9, "5/0"),
        bad(10, "XYZQ"),
        bad(11, "25:00"),
        `${good.join(",")},extra`,
        "T9,short",
        bad(6, "1,5"),
        bad(1, '"open'),
      ].join("\n"),
      "faults.csv":
        "site_id,inverter_id,started_at,ended_at,code\nNOPE,I1,2026-01-01T10:00Z,,1\nS1,I9,2026-01-01T10:00Z,,1\nS1,I1,yesterday,,1\nS1,I1,2026-01-02T10:00Z,2026-01-01T10:00Z,1\nS1,I1,2026-01-01,,1\n",
      "weather.csv":
        "station_id,observed_at,precipitation_mm,relative_humidity_pct\nW1,2026-01-01T10:00Z,0.2,140\nW1,2026-01-01T10:30Z,0.2,80\nW1,2026-01-01T11:00Z,-1,80\nW1,2026-01-01T12:00Z,0.2,80\n",
      "inspections.csv":
        "site_id,inspected_at,check,outcome,value,unit\nS1,2026-01-01,bond_resistance,pass,-0.2,ohm\nS1,2026-01-01,egc_size,pass,5/0,awg\nS1,2026-01-01,guess,pass,,\nS1,2026-01-02,bond_resistance,maybe,,\n",
      "repairs.csv": "site_id,cause\nS1,none_found\n",
    });
    const aside = await asideOf(importId);
    expect(aside.map((r) => `${r.file}:${r.line} ${r.column}`)).toEqual([
      "sites.csv:3 site_id",
      "sites.csv:4 latitude",
      "sites.csv:5 longitude",
      "sites.csv:6 time_zone",
      "sites.csv:7 dc_kw",
      "sites.csv:8 ac_kw",
      "sites.csv:9 mounting",
      "sites.csv:10 gec_awg",
      "sites.csv:11 currency",
      "sites.csv:12 access_from",
      "sites.csv:13 ",
      "sites.csv:14 ",
      "sites.csv:15 ",
      "sites.csv:16 ",
      "faults.csv:2 site_id",
      "faults.csv:3 inverter_id",
      "faults.csv:4 started_at",
      "faults.csv:5 ended_at",
      "faults.csv:6 started_at",
      "weather.csv:2 relative_humidity_pct",
      "weather.csv:3 observed_at",
      "weather.csv:4 precipitation_mm",
      "inspections.csv:2 value",
      "inspections.csv:3 value",
      "inspections.csv:4 check",
      "inspections.csv:5 outcome",
      "repairs.csv:2 repaired_at",
    ]);
    expect(of("sites.csv")).toMatchObject({ rows: 15, accepted: 1 });
    for (const r of aside) expect(r.reason.length).toBeGreaterThan(5);
    expect(aside.find((r) => r.column === "inverter_id")?.reason).toMatch(/inverters\.csv/);
  });

  test("the rows set aside can be downloaded, corrected and imported again, and blank nothing of other files", async () => {
    await importFiles(BASE_DROP);
    const { importId, folder } = await importFiles({
      "sites.csv": `${SITE_HEADER}\nU1,Wharf,East,400,-74,America/New_York,5,4\n`,
      "faults.csv": "site_id,inverter_id,started_at,code,message\nS1,I1,2026-02-30T10:00Z,1,note\n",
    });
    const file = path.join(folder, "aside.csv");
    await writeSetAside(LOCAL_ACTOR, importId, file);
    const corrected = readFileSync(file, "utf8")
      .replace(",400,-74", ",40.0,-74")
      .replaceAll("2026-02-30", "2026-02-28");
    const again = await importFiles({ "my corrections.csv": corrected });
    expect(again.counts.map((f) => [f.file, f.rows, f.accepted, f.set_aside])).toEqual([
      ["sites.csv", 1, 1, 0],
      ["faults.csv", 1, 1, 0],
    ]);
    expect(await rows("SELECT latitude FROM site WHERE site_id = 'U1'")).toEqual([{ latitude: 40 }]);
    expect(await rows("SELECT message FROM fault WHERE started_at = '2026-02-28T10:00Z'")).toEqual([
      { message: "note" },
    ]);
  });

  test("unknown columns are named once and kept out; an unknown code is kept and counted; a file nobody knows is said", async () => {
    await importFiles(BASE_DROP);
    const { of } = await importFiles({
      "codes.csv": "code_system,code,event\nown,E1,Ground_Fault\n",
      "faults.csv":
        "site_id,inverter_id,started_at,code,colour\nS2,I1,2026-03-01T10:00Z,E1,red\nS2,I1,2026-03-02T10:00Z,E9,blue\n",
      "readme.csv": "what,ever\n1,2\n",
    });
    expect(of("faults.csv")).toMatchObject({ accepted: 2, set_aside: 0 });
    expect(of("faults.csv")?.notes.join(" | ")).toMatch(
      /left out: colour.*1 row has a code that is not in the vocabulary/,
    );
    expect(of("readme.csv")).toMatchObject({ rows: 1, set_aside: 1 });
    expect(of("readme.csv")?.notes[0]).toMatch(/Not recognised/);
  });

  test("a single file is told by its columns when its name says nothing, and --portfolio fills what is missing", async () => {
    const text =
      "site_id,name,latitude,longitude,time_zone,dc_kw,ac_kw,portfolio\nP1,Pier,40,-74,America/New_York,5,4,\n";
    const { of } = await importFiles({ "export 7.csv": text }, { portfolio: "Lake" });
    expect(of("export 7.csv")).toMatchObject({ accepted: 1 });
    expect(await rows("SELECT portfolio FROM site WHERE site_id = 'P1'")).toEqual([{ portfolio: "Lake" }]);
    expect(await rows("SELECT portfolio FROM portfolio WHERE portfolio = 'Lake'")).toHaveLength(1);
  });

  test("weather is merged by hour; what a file does not name stays; a station without coordinates is said", async () => {
    const { of } = await importFiles({
      "weather.csv":
        "station_id,observed_at,precipitation_mm,temperature_c\nNEW,2026-01-31T23:00Z,0.25,1.5\nNEW,2026-02-01T00:00Z,,2\nNEW,2026-02-01T01:00Z,0,\n",
    });
    expect(of("weather.csv")).toMatchObject({ accepted: 3 });
    expect(of("weather.csv")?.notes.join(" ")).toContain("NEW");
    const again = await importFiles({
      "weather.csv": "station_id,observed_at,wind_m_s\nNEW,2026-01-31T23:00Z,4\nNEW,2026-02-01T01:00Z,\n",
    });
    expect(again.of("weather.csv")).toMatchObject({ accepted: 1, unchanged: 1 });
    const series = await readTransaction(LOCAL_ACTOR, (tx) => weatherSeries(tx, "NEW"));
    const at = (iso: string) => Date.parse(iso) / 3_600_000 - (series?.firstHour ?? 0);
    expect(series?.precipitationMm[at("2026-01-31T23:00Z")]).toBeCloseTo(0.25, 6);
    expect(series?.windMs[at("2026-01-31T23:00Z")]).toBe(4);
    expect(series?.precipitationMm[at("2026-02-01T00:00Z")]).toBeNaN();
    expect(series?.temperatureC[at("2026-02-01T00:00Z")]).toBe(2);
  });

  test("--station names the station of a weather file that does not", async () => {
    const text = "observed_at,precipitation_mm\n2026-01-31T23:00Z,0.2\n";
    const { of } = await importFiles({ "weather.csv": text }, { station: "GIVEN" });
    expect(of("weather.csv")).toMatchObject({ accepted: 1 });
    expect(await rows("SELECT station_id FROM weather_month WHERE station_id = 'GIVEN'")).toHaveLength(1);
  });

  test("a write to a record raises its site's revision and nobody else's; each file leaves one audit entry", async () => {
    await importFiles(BASE_DROP);
    const revision = async () => {
      const found = await rows<{ site_id: string; revision: string }>(
        "SELECT site_id, revision FROM site WHERE site_id IN ('S1', 'S2')",
      );
      return Object.fromEntries(found.map((r) => [r.site_id, Number(r.revision)]));
    };
    const before = await revision();
    const { importId } = await importFiles({
      "faults.csv": "site_id,inverter_id,started_at,code\nS2,I1,2026-05-01T10:00Z,E1\n",
    });
    const after = await revision();
    expect(after.S2).toBe((before.S2 as number) + 1);
    expect(after.S1).toBe(before.S1);
    const entries = await rows<{ action: string }>(
      `SELECT action FROM audit_entry WHERE subject LIKE '${importId}%' ORDER BY seq`,
    );
    expect(entries.map((e) => e.action)).toEqual(["import.request", "import.start", "import.file", "import.finish"]);
  });

  test("a cancelled import does not run, and one told to stop says so", async () => {
    const folder = dropFolder(BASE_DROP);
    const importId = await createImport(LOCAL_ACTOR, { name: "cancelled" });
    expect(await cancelImport(LOCAL_ACTOR, importId)).toBe(true);
    await expect(runImport(LOCAL_ACTOR, importId, { folder })).rejects.toThrow(/is over \(cancelled\)/);
    const stopping = new AbortController();
    stopping.abort();
    const second = await createImport(LOCAL_ACTOR, { name: "stopped" });
    await expect(runImport(LOCAL_ACTOR, second, { folder }, { signal: stopping.signal })).rejects.toThrow(/stopped/);
  });

  test("a log is read for a score as the driver and the schema of its rows read it, whatever its times and texts", async () => {
    await importFiles(BASE_DROP);
    const lines = [
      "S1,I1,2026-01-05T10:00:00Z,2026-01-05T10:00:00.25Z,1,,,,Isolation niedrig ü 雨",
      "S1,I1,2026-01-05T10:00:00.001Z,,1,sunspec_evt1,2026-01-05T12:00+01:00,remote,",
      "S1,I2,2026-02-28T23:59:59.999Z,2028-02-29T00:00:00Z,0x1,,,auto,\\N",
      "S2,I1,1999-12-31T23:59:59Z,,a,own,,,",
      "S2,I1,1970-01-01T00:00:00.5Z,,b,own,,,x",
    ];
    const header = "site_id,inverter_id,started_at,ended_at,code,code_system,reset_at,reset_by,message";
    expect((await importFiles({ "faults.csv": `${header}\n${lines.join("\n")}\n` })).of("faults.csv")?.accepted).toBe(
      5,
    );
    await readTransaction(LOCAL_ACTOR, async (tx) => {
      const read: StoredFault[] = [];
      await forEachFault(tx, ["S1", "S2"], (row) => read.push(row));
      const key = (row: StoredFault) =>
        `${row.siteId} ${String(row.startedAt).padStart(15)} ${row.inverterId} ${row.code}`;
      read.sort((a, b) => (key(a) < key(b) ? -1 : 1));
      const plain = await tx.unsafe(
        `SELECT ${selectList(FaultRowSchema)} FROM fault ORDER BY site_id, started_at, inverter_id, code`,
      );
      expect(read).toEqual([...plain].map((row) => FaultRowSchema.parse(row)));
    });
  });

  test("accepted + unchanged + set_aside = rows, whatever the cells hold", async () => {
    await importFiles(BASE_DROP);
    const known = fc.constantFrom(
      "S1",
      "I1",
      "1",
      "0x1",
      "",
      "2026-01-01T10:00Z",
      "2026-01-01T09:00",
      "remote",
      "\u0000",
      "=1+1",
      '"',
      "\ufffd",
    );
    const cell = fc.oneof(known, fc.string({ maxLength: 8 }));
    const quoted = (c: string) => (/[",\n\r]/.test(c) ? `"${c.replaceAll('"', '""')}"` : c);
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.array(cell, { minLength: 1, maxLength: 7 }), { minLength: 1, maxLength: 12 }),
        async (table) => {
          const lines = table.map((cells) => cells.map(quoted).join(","));
          const header = "site_id,inverter_id,started_at,ended_at,code,reset_by";
          const { counts } = await importFiles({ "faults.csv": `${header}\n${lines.join("\n")}\n` });
          expect(counts).toHaveLength(1);
        },
      ),
      { numRuns: 25 },
    );
  });
});
