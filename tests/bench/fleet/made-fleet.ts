import { chmodSync, existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import postgres from "postgres";
import { readyDatabase } from "../../../lib/jobs/ready.ts";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { copyIn } from "../../../lib/store/copy-stream.ts";
import type { Database } from "../../../lib/store/database.ts";
import { packMonth } from "../../../lib/weather/packing.ts";
import { importPaths } from "../../../lib/writes/import-paths.ts";
import { LARGE_FLEET, type LargeFleetOptions, largeFleetSkies, largeFleetSpan } from "../../../seed/large-fleet.ts";
import { packedMonths } from "../../../seed/packed-weather.ts";
import { writeLargeFleet } from "../../../seed/write-large-fleet.ts";

/** A fleet in a database of its own, ready to be measured. */
export interface MadeFleet {
  options: LargeFleetOptions;
  /** Folder of its files. */
  drop: string;
  db: Database;
  /** As a superuser, for what the application may not do. */
  admin: postgres.Sql;
  /** Process of the database server, whose time counts. */
  server: number | null;
}

/** Folder of its data. */
export const dataOf = ({ drop }: MadeFleet): string => path.dirname(drop);

/** Make a fleet's files and load all of them but faults.csv. The weather goes in packed, as an import would leave it. */
export async function madeFleet(sites: number, years: number, say: (line: string) => void): Promise<MadeFleet> {
  const data = process.env.RAINTRIP_DATA ?? mkdtempSync(path.join(os.tmpdir(), "raintrip-bench-"));
  process.env.RAINTRIP_DATA = data;
  mkdirSync(data, { recursive: true });
  chmodSync(data, 0o755); // the postgres user must be able to enter
  const options = { ...LARGE_FLEET, sites, years };
  const drop = path.join(data, `drop-${sites}-${years}`);
  const begun = performance.now();
  if (!existsSync(drop)) await writeLargeFleet(drop, { ...options, weather: false });
  say(`${sites} sites written in ${((performance.now() - begun) / 1000).toFixed(0)} s`);
  const { db } = await readyDatabase();
  const own = new URL(db.address.bootstrapUrl ?? db.address.ownerUrl);
  own.pathname = new URL(db.address.ownerUrl).pathname;
  const admin = postgres(own.href, { max: 1, onnotice: () => {} });
  const [there] = await admin<{ n: number }[]>`SELECT count(*)::int AS n FROM site`;
  if (there?.n !== sites) {
    const files = readdirSync(drop).filter((file) => file !== "faults.csv");
    await importPaths(
      LOCAL_ACTOR,
      files.map((file) => path.join(drop, file)),
    );
    say(`records imported after ${((performance.now() - begun) / 1000).toFixed(0)} s`);
    await loadPackedWeather(admin, options);
    await admin`ANALYZE`;
    say(`weather loaded after ${((performance.now() - begun) / 1000).toFixed(0)} s`);
  }
  return { options, drop, db, admin, server: serverPid(data) };
}

function serverPid(data: string): number | null {
  try {
    const state = JSON.parse(readFileSync(path.join(data, "run", "database.json"), "utf8"));
    return state.postgresPid ?? null;
  } catch {
    return null;
  }
}

/**
 * The weather of a fleet straight into the packed store, beside the import: the same months as weather.csv would give
 * (a test compares them), without gigabytes of text between. It measures nothing.
 */
export async function loadPackedWeather(admin: postgres.Sql, options: LargeFleetOptions): Promise<void> {
  const account = LOCAL_ACTOR.accountId;
  const hex = (bytes: Uint8Array) =>
    `\\\\x${Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength).toString("hex")}`;
  const lines = async function* () {
    for (const sky of largeFleetSkies(options)) {
      let text = "";
      for (const { month, series } of packedMonths(sky)) {
        const p = packMonth(series, month);
        const cells = [p.precipitation, p.temperature, p.dewPoint, p.humidity, p.wind, p.thunder].map(hex);
        text += `${account}\t${sky.station.stationId}\t${month}-01\t${cells.join("\t")}\n`;
      }
      yield Buffer.from(text);
    }
  };
  const end = new Date(largeFleetSpan(options).end);
  await admin.begin(async (tx) => {
    await copyIn(
      tx,
      "COPY weather_month (account_id, station_id, month, precipitation, temperature, dew_point, humidity, wind, thunder) FROM STDIN",
      lines(),
    );
    await tx`UPDATE station SET version = version + 1 WHERE account_id = ${account}`;
    await tx`INSERT INTO data_horizon AS t (account_id, weather_at) VALUES (${account}, ${end})
      ON CONFLICT (account_id) DO UPDATE SET weather_at = greatest(t.weather_at, excluded.weather_at)`;
  });
}
