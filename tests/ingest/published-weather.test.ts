import { readFileSync } from "node:fs";
import path from "node:path";
import { gunzipSync } from "node:zlib";
import { describe, expect, test } from "vitest";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { weatherSeries } from "../../lib/store/weather.ts";
import { createImport, runImport } from "../../lib/writes/import-drop.ts";
import { dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

useTestDatabase();
const DATA = path.resolve(import.meta.dirname, "../data/weather");
const LCD = readFileSync(path.join(DATA, "lcd-atlanta-2020.csv.gz"));
const METAR = readFileSync(path.join(DATA, "metar-2014.csv.gz"));
const STATIONS =
  "station_id,latitude,longitude,time_zone,aliases\n722190-13874,33.63,-84.44,America/New_York,72219013874;KATL\n";

async function importFiles(files: Record<string, string | Buffer>, options = {}) {
  const importId = await createImport(LOCAL_ACTOR, { name: "test", options });
  const { files: counts } = await runImport(LOCAL_ACTOR, importId, { folder: dropFolder(files) });
  for (const f of counts) expect(f.accepted + f.unchanged + f.set_aside, f.file).toBe(f.rows);
  return (file: string) => counts.find((f) => f.file === file);
}
const series = (station: string) => readTransaction(LOCAL_ACTOR, (tx) => weatherSeries(tx, station));

describe("published weather files", () => {
  test("before its station is known, LCD rows without a zone are set aside, each with what to give", async () => {
    const of = (await importFiles({ "atlanta.csv.gz": LCD }))("atlanta.csv.gz");
    expect(of).toMatchObject({ accepted: 0, set_aside: 1998 });
    const [row] = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<{ reason: string }[]>`SELECT reason FROM set_aside_row WHERE reason LIKE '%time_zone%' LIMIT 1`,
    );
    expect(row?.reason).toContain("time_zone in stations.csv");
  });

  test("an LCD file is told by its content, read in standard time under the station's own id, and changes nothing twice", async () => {
    const drop = { "stations.csv": STATIONS, "atlanta.csv.gz": LCD };
    const first = (await importFiles(drop))("atlanta.csv.gz");
    expect(first).toMatchObject({ rows: 1998 });
    expect(first?.accepted).toBeGreaterThan(1200);
    expect(first?.notes[0]).toBe("Read as lcd, as it is published.");
    expect(first?.notes.join("\n")).toMatch(/special reports, folded into their hour and never summed/);
    expect(first?.notes.join("\n")).toMatch(/values flagged suspect/);
    const stored = await series("722190-13874");
    const hour = Date.UTC(2020, 0, 3, 15) / 3_600_000 - (stored?.firstHour ?? 0);
    // 09:52 local standard time, 0.28 in as the routine report has it; specials before it said 0.53.
    expect(stored?.precipitationMm[hour]).toBeCloseTo(7.11, 2);
    const again = (await importFiles(drop))("atlanta.csv.gz");
    expect(again).toMatchObject({ accepted: 0, set_aside: first?.set_aside });
  });

  test("a METAR file of many stations fills an hour for each, and thunder that was not looked for stays unknown", async () => {
    const of = (await importFiles({ "stations.csv": STATIONS, "reports.csv.gz": METAR }))("reports.csv.gz");
    expect(of?.rows).toBe(4336);
    expect(of?.set_aside).toBeLessThan(0.01 * 4336);
    expect(of?.accepted).toBeGreaterThan(3000);
    // KATL is an alias of the station, so its report lies under the station's own id.
    expect(await series("722190-13874")).not.toBeNull();
    expect(await series("KATL")).toBeNull();
  });

  test("ISD-Lite takes its station from its name or from --station, and without either sets every line aside", async () => {
    const line = "2019 01 05 13    44   -22 10132   270    57     4    -1 -9999\n";
    expect((await importFiles({ "722190-13874-2019": line }))("722190-13874-2019")).toMatchObject({ accepted: 1 });
    const named = await importFiles({ lines: line }, { station: "X7" });
    expect(named("lines")).toMatchObject({ accepted: 1 });
    expect((await series("X7"))?.precipitationMm.some((p) => Math.abs(p - 0.05) < 1e-6)).toBe(true);
    expect((await importFiles({ lines: line }))("lines")).toMatchObject({ set_aside: 1 });
  });

  test("--format names a published format, and a wrong name says which there are", async () => {
    const report = "2014-09-26T21:53Z KATL 262153Z 09008KT 10SM FEW030 25/18 A3005 RMK AO2 T02500183\n";
    expect((await importFiles({ "x.txt": report }, { format: "metar" }))("x.txt")).toMatchObject({ accepted: 1 });
    await expect(importFiles({ "x.txt": report }, { format: "synop" })).rejects.toThrow(
      /isd-lite, uscrn, lcd, asos, metar/,
    );
  });

  test("garbage in a published file is set aside line by line and stops nothing", async () => {
    const text = gunzipSync(METAR).toString("utf8").split("\n").slice(0, 60).join("\n");
    const of = (await importFiles({ "mixed.csv": `${text}\nnonsense,"half a quote\nXXXX\n` }, { format: "metar" }))(
      "mixed.csv",
    );
    expect(of?.set_aside).toBeGreaterThanOrEqual(2);
    // The reports themselves are there from the file above: read, and unchanged.
    expect((of?.rows ?? 0) - (of?.set_aside ?? 0)).toBeGreaterThan(50);
  });
});
