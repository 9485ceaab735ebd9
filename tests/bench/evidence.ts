import { createWriteStream, mkdirSync, mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { Writable } from "node:stream";
import { finished } from "node:stream/promises";
import { parseArgs } from "node:util";
import { readyDatabase } from "../../lib/jobs/ready.ts";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { shutDatabase } from "../../lib/store/database.ts";
import { makeEvidenceArchive } from "../../lib/writes/evidence-archive.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { keepVisitPhoto } from "../../lib/writes/visit-photo.ts";
import { makeWorld } from "../../seed/world.ts";
import { truthOf, writeDemoDrop } from "../../seed/write-demo.ts";
import { fileRequest, samplePng } from "../support/sample-files.ts";

/**
 * Make the evidence file of a site with five years of records and 40 photos of about a megabyte, as the download does.
 * RAINTRIP_DATA=/tmp/x node --conditions=react-server --import tsx tests/bench/evidence.ts --photos 40
 */
const { values } = parseArgs({
  options: { photos: { type: "string", default: "40" }, mb: { type: "string", default: "1" } },
});
const PHOTOS = Number(values.photos);
const NOW = Date.UTC(2026, 10, 20);
const WORLD = { seed: "evidence bench", sites: 4, days: 1826, endDay: "2026-10-31" };
const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-evidence-bench-"));
const drop = path.join(folder, "drop");
mkdirSync(drop);
await writeDemoDrop(drop, WORLD);
await readyDatabase();
await importPaths(LOCAL_ACTOR, [drop]);
await refreshScores(LOCAL_ACTOR, { now: NOW });
const siteId = truthOf(makeWorld(WORLD)).find((t) => t.causes.length > 0)?.siteId ?? "S001";
for (let i = 0; i < PHOTOS; i++) {
  const photo = {
    photo_id: `00000000-0000-4000-8000-${String(i).padStart(12, "0")}`,
    visit_id: "V-BENCH",
    site_id: siteId,
    item: JSON.stringify(["section_jumper", "A", ""]),
    taken_at: NOW - i * 60_000,
  };
  await keepVisitPhoto(LOCAL_ACTOR, photo, fileRequest(samplePng(i % 256, Number(values.mb) * 1_000_000)));
}

for (let round = 1; round <= 3; round++) {
  global.gc?.();
  const before = process.memoryUsage().rss;
  let peak = before;
  const watch = setInterval(() => {
    peak = Math.max(peak, process.memoryUsage().rss);
  }, 10);
  const started = performance.now();
  const { stream } = await makeEvidenceArchive(LOCAL_ACTOR, siteId, NOW + round * 1000);
  const made = performance.now();
  let bytes = 0;
  const sink = createWriteStream(path.join(folder, `evidence-${round}.zip`));
  const counted = new Writable({
    write(chunk: Buffer, _encoding, done) {
      bytes += chunk.length;
      sink.write(chunk, done);
    },
  });
  await stream.pipeTo(Writable.toWeb(counted));
  sink.end();
  await finished(sink);
  clearInterval(watch);
  const seconds = (to: number, from: number) => ((to - from) / 1000).toFixed(2);
  console.log(
    `round ${round}: made in ${seconds(made, started)} s, with the download ${seconds(performance.now(), started)} s; ${(bytes / 1e6).toFixed(1)} MB; memory ${Math.round(before / 1e6)} MB before, ${Math.round(peak / 1e6)} MB at most`,
  );
}
rmSync(folder, { recursive: true });
await shutDatabase();
process.exit(0);
