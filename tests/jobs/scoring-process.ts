/** A process that scores the account once, as a worker does: a test and the bench start several of them at once. */
import { createInterface } from "node:readline";
import { previewScores } from "../../lib/jobs/preview-scores.ts";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { shutDatabase } from "../../lib/store/database.ts";
import { currentParameters } from "../../lib/store/parameter-versions.ts";
import { readTransaction } from "../../lib/store/transaction.ts";

const told = createInterface({ input: process.stdin })[Symbol.asyncIterator]();
// A worker has been at it for long: so many sites are scored first, and nothing of it stored.
const warmUps = Number(process.argv[3] ?? 0);
if (warmUps > 0) {
  const { table, siteIds } = await readTransaction(LOCAL_ACTOR, async (tx) => ({
    table: await currentParameters(tx),
    siteIds: (await tx<{ site_id: string }[]>`SELECT site_id FROM site ORDER BY site_id LIMIT ${warmUps}`).map(
      (row) => row.site_id,
    ),
  }));
  await previewScores(LOCAL_ACTOR, table, { now: Number(process.argv[2]), siteIds });
}
let isTold = false;
let began = performance.now();
let used = process.cpuUsage();
const { scored } = await refreshScores(LOCAL_ACTOR, {
  now: Number(process.argv[2]),
  callOthers: async () => {
    if (isTold) return;
    isTold = true;
    console.log("planned");
    await told.next();
    began = performance.now();
    used = process.cpuUsage();
  },
  onProgress: (done, total) => console.log(`at ${done} of ${total}`),
});
const { user, system } = process.cpuUsage(used);
console.log(`scored ${scored} in ${(performance.now() - began) / 1000} s, ${(user + system) / 1e6} s of a core`);
await shutDatabase();
process.exit(0);
