import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { afterAll, describe, expect, test } from "vitest";
import { LOCAL_ACTOR, systemActor } from "../../lib/store/actor.ts";
import { readTransaction, systemTransaction } from "../../lib/store/transaction.ts";
import { packMonth } from "../../lib/weather/packing.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { LARGE_FLEET, largeFleetSkies } from "../../seed/large-fleet.ts";
import { packedMonths } from "../../seed/packed-weather.ts";
import { writeLargeFleet } from "../../seed/write-large-fleet.ts";
import { useTestDatabase } from "../support/test-database.ts";

useTestDatabase();
const FLEET = { ...LARGE_FLEET, sites: 20, years: 0.25 };
const scratch = mkdtempSync(path.join(os.tmpdir(), "raintrip-large-import-"));
const drop = path.join(scratch, "drop");
process.env.RAINTRIP_DATA = path.join(scratch, "data");
afterAll(() => {
  delete process.env.RAINTRIP_DATA;
  rmSync(scratch, { recursive: true, force: true });
});

const stored = () =>
  readTransaction(LOCAL_ACTOR, async (tx) => ({
    faults: (await tx<{ n: string }[]>`SELECT md5(string_agg(f::text, '' ORDER BY f::text)) AS n FROM fault f`)[0]?.n,
    logs: (
      await tx<{ n: string }[]>`SELECT md5(string_agg(l::text, '' ORDER BY l::text)) AS n FROM inverter_log l
      WHERE NOT EXISTS (SELECT FROM reading r WHERE r.site_id = l.site_id)`
    )[0]?.n,
  }));
const revisions = () =>
  readTransaction(LOCAL_ACTOR, async (tx) => {
    const rows = await tx<{ site_id: string; revision: number }[]>`SELECT site_id, revision::int AS revision FROM site`;
    return new Map(rows.map((row) => [row.site_id, row.revision]));
  });

describe("an invented fleet, imported", () => {
  test("every row is accepted, and the weather is what the bench puts in packed", async () => {
    const written = await writeLargeFleet(drop, FLEET);
    const { files } = await importPaths(LOCAL_ACTOR, [drop]);
    for (const { file, rows, accepted, set_aside } of files)
      expect({ file, rows, accepted, set_aside }).toEqual({
        ...{ file, rows: written.rows[file], accepted: written.rows[file], set_aside: 0 },
      });
    const months = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<{ station_id: string; month: string; precipitation: Buffer; temperature: Buffer; thunder: Buffer }[]>`
        SELECT station_id, to_char(month, 'YYYY-MM') AS month, precipitation, temperature, thunder FROM weather_month`,
    );
    const held = new Map(months.map((row) => [`${row.station_id} ${row.month}`, row]));
    let compared = 0;
    for (const sky of largeFleetSkies(FLEET))
      for (const { month, series } of packedMonths(sky)) {
        const packed = packMonth(series, month);
        const row = held.get(`${sky.station.stationId} ${month}`);
        expect(row?.precipitation.equals(packed.precipitation)).toBe(true);
        expect(row?.temperature.equals(packed.temperature)).toBe(true);
        expect(row?.thunder.equals(packed.thunder)).toBe(true);
        compared++;
      }
    expect(compared).toBe(months.length);
  });

  test("a log that comes in parts, in any order and overlapping, is stored as the whole is", async () => {
    const whole = await stored();
    const [header = "", ...lines] = readFileSync(path.join(drop, "faults.csv"), "utf8").trimEnd().split("\n");
    await systemTransaction(systemActor(LOCAL_ACTOR.accountId), async (tx) => {
      await tx`DELETE FROM fault`;
      await tx`DELETE FROM inverter_log`;
    });
    const before = await revisions();
    const time = (line: string) => line.split(",")[2] as string;
    const sorted = lines.toSorted((a, b) => (time(a) < time(b) ? -1 : 1));
    const third = Math.floor(sorted.length / 3);
    // The last third is appended to nothing, the first goes before it, the middle meets both.
    const parts = [sorted.slice(2 * third), sorted.slice(0, third), sorted.slice(third - 50, 2 * third + 50)];
    let accepted = 0;
    for (const part of parts) {
      const file = path.join(scratch, "faults.csv");
      writeFileSync(file, `${[header, ...part].join("\n")}\n`);
      accepted += (await importPaths(LOCAL_ACTOR, [file])).files[0]?.accepted ?? 0;
    }
    expect(accepted).toBe(lines.length);
    expect(await stored()).toEqual(whole);
    const after = await revisions();
    const logged = new Set(lines.map((line) => line.split(",")[0]));
    for (const [siteId, revision] of before)
      expect((after.get(siteId) ?? 0) > revision, siteId).toBe(logged.has(siteId));
  });
});
