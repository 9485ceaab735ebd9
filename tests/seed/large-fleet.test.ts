import { createHash } from "node:crypto";
import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { afterAll, describe, expect, test } from "vitest";
import { CsvSplitter } from "../../lib/contract/csv-records.ts";
import { CONTRACT_FILES } from "../../lib/contract/files.ts";
import { isReject, rowParser } from "../../lib/contract/row-parser.ts";
import { largeFleetStations } from "../../seed/large-fleet.ts";
import { writeLargeFleet } from "../../seed/write-large-fleet.ts";

const scratch = mkdtempSync(path.join(os.tmpdir(), "raintrip-large-fleet-"));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));
const SMALL = { sites: 50, years: 1, seed: "test" };
const first = path.join(scratch, "first");
const written = writeLargeFleet(first, SMALL);

const digests = (folder: string) =>
  readdirSync(folder)
    .sort()
    .map((file) => [
      file,
      createHash("sha256")
        .update(readFileSync(path.join(folder, file)))
        .digest("hex"),
    ]);

function rowsOf(file: string): { header: string[]; rows: string[][] } {
  const splitter = new CsvSplitter();
  const text = readFileSync(path.join(first, file), "utf8");
  const [header = [], ...rows] = [...splitter.push(text), ...splitter.end()].map((r) => r.cells);
  return { header, rows };
}

describe("a fleet of any size", () => {
  test("the same seed gives the same bytes, another seed others", async () => {
    await written;
    await writeLargeFleet(path.join(scratch, "again"), SMALL);
    expect(digests(path.join(scratch, "again"))).toEqual(digests(first));
    await writeLargeFleet(path.join(scratch, "other"), { ...SMALL, seed: "other", weather: false });
    expect(readFileSync(path.join(scratch, "other", "faults.csv"))).not.toEqual(
      readFileSync(path.join(first, "faults.csv")),
    );
  });

  test("every row of every file is one that an import takes", async () => {
    const { rows: counts } = await written;
    for (const [file, count] of Object.entries(counts)) {
      const { header, rows } = rowsOf(file);
      expect(rows.length, file).toBe(count);
      const spec = CONTRACT_FILES.find((s) => `${s.kind}.csv` === file);
      if (!spec) throw new Error(`${file} is no file of the contract`);
      const known = { zoneOf: () => "America/Chicago", hasInverter: () => true, hasSection: () => true };
      const parser = rowParser(spec, header, known);
      expect(parser.unknownColumns).toEqual([]);
      const bad = rows.map((cells, i) => parser.parse({ cells, line: i + 2 })).filter((row) => isReject(row));
      expect(bad.slice(0, 3), file).toEqual([]);
    }
  });

  test("counts are near what is asked for, logs are uneven, and a station lies near each site", async () => {
    const { rows } = await written;
    const years = SMALL.years;
    expect(rows["sites.csv"]).toBe(SMALL.sites);
    expect(rows["stations.csv"]).toBe(7);
    expect(rows["weather.csv"]).toBeGreaterThan(7 * 8766 * years * 0.97);
    const faults = rowsOf("faults.csv").rows;
    // 120 rows a site and year, so that 20,000 sites and five years are about 12 million.
    expect(faults.length / SMALL.sites / years).toBeGreaterThan(60);
    expect(faults.length / SMALL.sites / years).toBeLessThan(240);
    const bySite = new Map<string, number>();
    for (const [siteId = ""] of faults) bySite.set(siteId, (bySite.get(siteId) ?? 0) + 1);
    expect(bySite.size).toBeLessThan(SMALL.sites);
    expect(Math.max(...bySite.values())).toBeGreaterThan((5 * faults.length) / SMALL.sites);
    const keys = new Set(faults.map(([site, inverter, start, , code]) => `${site}/${inverter}/${start}/${code}`));
    expect(keys.size).toBe(faults.length);
  });

  test("a full fleet has 2,500 stations, and a folder that holds something is refused", async () => {
    expect(largeFleetStations({ seed: "x", sites: 20_000, years: 5, endDay: "2026-10-31" })).toHaveLength(2500);
    await written;
    await expect(writeLargeFleet(first, SMALL)).rejects.toThrow(/not empty/);
  });
});
