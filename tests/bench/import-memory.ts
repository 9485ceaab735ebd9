import { createWriteStream, mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { parseArgs } from "node:util";
import { readyDatabase } from "../../lib/jobs/ready.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { shutDatabase } from "../../lib/store/database.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";

/**
 * Import a made-up fault log of many rows and report the rate and the largest memory of this process.
 * RAINTRIP_DATA=/tmp/x node --conditions=react-server --import tsx tests/bench/import-memory.ts --rows 1000000
 */
const { values } = parseArgs({ options: { rows: { type: "string", default: "1000000" } } });
const ROWS = Number(values.rows);
const SITES = 200;
const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-memory-"));

async function write(file: string, lines: Iterable<string>): Promise<void> {
  await pipeline(Readable.from(lines), createWriteStream(path.join(folder, file)));
}

function* faults(): Iterable<string> {
  yield "site_id,inverter_id,started_at,ended_at,code,reset_by,closed_as\n";
  const start = Date.UTC(2024, 0, 1);
  for (let i = 0; i < ROWS; i++) {
    const at = start + Math.floor(i / SITES) * 600_000;
    yield `B${i % SITES},I1,${new Date(at).toISOString()},${new Date(at + 300_000).toISOString()},1,auto,self_cleared\n`;
  }
}

const ids = Array.from({ length: SITES }, (_, i) => `B${i}`);
await write("sites.csv", [
  "site_id,name,portfolio,latitude,longitude,time_zone,dc_kw,ac_kw\n",
  ...ids.map((id) => `${id},${id},Bench,41,-93,America/Chicago,10,8\n`),
]);
await write("inverters.csv", ["site_id,inverter_id,ac_kw\n", ...ids.map((id) => `${id},I1,8\n`)]);
await write("faults.csv", faults());
await readyDatabase();
let peak = 0;
const watch = setInterval(() => {
  peak = Math.max(peak, process.memoryUsage().rss);
}, 20);
const started = performance.now();
const result = await importPaths(LOCAL_ACTOR, [folder]);
const seconds = (performance.now() - started) / 1000;
clearInterval(watch);
const counts = result.files.find((f) => f.file === "faults.csv");
console.log(
  `${counts?.rows} fault rows, ${counts?.accepted} accepted, in ${seconds.toFixed(1)} s: ${Math.round(ROWS / seconds)} rows/s; peak memory of this process ${Math.round(peak / 1e6)} MB`,
);
rmSync(folder, { recursive: true });
await shutDatabase();
process.exit(peak < 500e6 ? 0 : 1);
