import { readyDatabase } from "../jobs/ready.ts";
import { refreshScores } from "../jobs/refresh-scores.ts";
import { readQueue } from "../reads/queue.ts";
import { LOCAL_ACTOR } from "../store/actor.ts";
import { readArguments } from "./read-arguments.ts";
import { sayProgress } from "./score.ts";

export async function queueCommand(args: string[]): Promise<number> {
  const { values } = readArguments({ args, options: { json: { type: "boolean" } } });
  await readyDatabase();
  await refreshScores(LOCAL_ACTOR, { now: Date.now(), onProgress: sayProgress });
  const queue = await readQueue(LOCAL_ACTOR);
  if (values.json) process.stdout.write(`${JSON.stringify(queue)}\n`);
  else {
    const money = (amount: number | null) =>
      amount === null ? "?" : `${Math.round(amount).toLocaleString("en-US")} ${queue.currency}`;
    for (const v of queue.visits) {
      process.stdout.write(
        `${String(v.rank).padStart(4)}  ${v.urgency.padEnd(9)}  ${v.site_id}  avoids ${money(v.expected_loss_avoided)} a year for ${money(v.visit_cost)}, ${v.hours_on_site} h on site\n`,
      );
      for (const reason of v.reasons) process.stdout.write(`                 ${reason}\n`);
    }
    process.stdout.write(`${queue.watch.length} sites on watch\n`);
  }
  return 0;
}
