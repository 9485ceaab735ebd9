/** A process that scores the account once, as a worker does: `shared-scoring.test.ts` starts several of them at once. */
import { createInterface } from "node:readline";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { shutDatabase } from "../../lib/store/database.ts";

const told = createInterface({ input: process.stdin })[Symbol.asyncIterator]();
const { scored } = await refreshScores(LOCAL_ACTOR, {
  now: Number(process.argv[2]),
  callOthers: async () => {
    console.log("planned");
    await told.next();
  },
  onProgress: (done, total) => console.log(`at ${done} of ${total}`),
});
console.log(`scored ${scored}`);
await shutDatabase();
process.exit(0);
