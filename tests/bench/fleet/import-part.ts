import { createReadStream } from "node:fs";
import path from "node:path";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { copyIn } from "../../../lib/store/copy-stream.ts";
import { importPaths } from "../../../lib/writes/import-paths.ts";
import { type Figure, median, type Repeat, repeated } from "../measure.ts";
import type { MadeFleet } from "./made-fleet.ts";

/** What a row costs this process and the server, each the median of the repeats. */
function parts(repeats: readonly Repeat[], rows: number): string {
  const of = (seconds: (r: Repeat) => number) => ((1e6 * median(repeats.map(seconds))) / rows).toFixed(2);
  return `${of((r) => r.core - (r.served ?? 0))} here and ${of((r) => r.served ?? 0)} of the server`;
}

/** Import of faults.csv from end to end, against a bare COPY of the same file into a table of the same columns. */
export async function importFigures({ drop, db, admin, server }: MadeFleet, repeats: number): Promise<Figure[]> {
  const file = path.join(drop, "faults.csv");
  await admin`CREATE TABLE IF NOT EXISTS bench_copy (site_id text, inverter_id text, started_at timestamptz, ended_at timestamptz,
    code text, reset_by text, closed_as text)`;
  await admin`GRANT ALL ON bench_copy TO PUBLIC`;
  let peak = 0;
  const watch = setInterval(() => {
    peak = Math.max(peak, process.memoryUsage().rss);
  }, 20);
  const bare = await repeated(
    repeats,
    server,
    () =>
      db.sql.begin((tx) =>
        copyIn(
          tx,
          "COPY bench_copy FROM STDIN (FORMAT csv, HEADER true)",
          createReadStream(file, { highWaterMark: 1 << 18 }) as AsyncIterable<Buffer>,
        ),
      ),
    () => admin`TRUNCATE bench_copy`,
  );
  await admin`CHECKPOINT`;
  let rows = 0;
  const whole = await repeated(
    repeats,
    server,
    async () => {
      rows = (await importPaths(LOCAL_ACTOR, [file])).files[0]?.accepted ?? 0;
    },
    () => admin`TRUNCATE fault, inverter_log`,
  );
  clearInterval(watch);
  await admin`TRUNCATE bench_copy`;
  await admin`ANALYZE`;
  return [
    { name: "bare COPY of faults.csv", repeats: bare, count: rows, unit: "row" },
    {
      name: "import of faults.csv",
      repeats: whole,
      against: "bare COPY of faults.csv",
      count: rows,
      unit: "row",
      aim: "3 or less",
      says: `${rows} rows accepted; us of a core a row: ${parts(whole, rows)}, bare COPY ${parts(bare, rows)}; this process held ${Math.round(peak / 1e6)} MB at most`,
    },
  ];
}
