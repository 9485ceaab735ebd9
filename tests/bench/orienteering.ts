/**
 * Gap to the best score known over a folder of team orienteering instances, and on the Solomon files that the tests
 * carry: `npx tsx tests/bench/orienteering.ts [FOLDER] [EFFORT]`; FOLDER holds best-known.txt and, in it or in Set1 to
 * Set3, the instances.
 */
import { existsSync } from "node:fs";
import path from "node:path";
import { seededRng } from "../../lib/core/random.ts";
import { search } from "../../lib/dispatch/routes/search.ts";
import { bestKnown, type Orienteering, readChao, readSolomon } from "../support/orienteering.ts";

const folder = process.argv[2] ?? path.resolve(import.meta.dirname, "..", "data", "routing", "chao");
const effort = Number(process.argv[3] ?? 3000);

function scored({ problem, recheck }: Orienteering): number {
  const candidates = Array.from({ length: problem.stops }, (_, i) => i);
  const found = search(problem, { effort, rng: seededRng("bench"), candidates, kept: new Set() });
  return recheck(found.routes.map((route) => route.stops));
}

const gaps: number[] = [];
const begun = performance.now();
for (const [file, best] of bestKnown(folder)) {
  const at = ["", "Set1", "Set2", "Set3"].map((set) => path.join(folder, set)).find((f) => existsSync(path.join(f, file)));
  if (!at || best === 0) continue;
  const found = scored(readChao(file, at));
  gaps.push(1 - found / best);
  if (found !== best) console.log(`${file} ${found} of ${best}${found > best ? " ABOVE THE BEST KNOWN" : ""}`);
}
const mean = gaps.reduce((sum, gap) => sum + gap, 0) / gaps.length;
const seconds = (performance.now() - begun) / 1000;
console.log(`${gaps.length} instances, mean gap ${(100 * mean).toFixed(3)} %, ${seconds.toFixed(0)} s, effort ${effort}`);

const SOLOMON: Record<string, number[]> = { C101: [320, 590, 810, 1020], R101: [198, 349, 484, 611], RC101: [219, 427, 621, 811] };
for (const [name, bests] of Object.entries(SOLOMON)) {
  for (const [i, best] of bests.entries()) {
    const from = performance.now();
    const found = scored(readSolomon(name, i + 1));
    console.log(`${name} m=${i + 1}: ${found} of ${best} in ${((performance.now() - from) / 1000).toFixed(1)} s`);
  }
}
