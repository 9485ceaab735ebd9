import { AppError } from "../core/app-error.ts";
import { readyDatabase } from "../jobs/ready.ts";
import { refreshScores } from "../jobs/refresh-scores.ts";
import { PlanQuery, readPlan } from "../reads/plan.ts";
import { LOCAL_ACTOR } from "../store/actor.ts";
import { readArguments } from "./read-arguments.ts";
import { sayProgress } from "./score.ts";

export async function planCommand(args: string[]): Promise<number> {
  const text = { type: "string" } as const;
  const options = { from: text, days: text, seed: text, effort: text, json: { type: "boolean" } } as const;
  const { values } = readArguments({ args, options });
  const query = PlanQuery.safeParse(values);
  if (!query.success) {
    const issue = query.error.issues[0];
    throw new AppError("wrong_use", { message: `--${issue?.path.join(".")}: ${issue?.message}` });
  }
  await readyDatabase();
  await refreshScores(LOCAL_ACTOR, { now: Date.now(), onProgress: sayProgress });
  const plan = await readPlan(LOCAL_ACTOR, query.data, (siteIds) => {
    if (siteIds.length > 0)
      process.stderr.write(
        `raintrip: no forecast covers the days at ${siteIds.length} sites with roof work; look at the sky before anyone climbs\n`,
      );
  });
  if (values.json) {
    process.stdout.write(`${JSON.stringify(plan)}\n`);
    return 0;
  }
  for (const note of plan.notes ?? []) process.stdout.write(`${note}\n`);
  for (const route of plan.routes) {
    process.stdout.write(
      `${route.date}  ${route.crew_id}  ${route.leave.slice(11, 16)} to ${route.return.slice(11, 16)}\n`,
    );
    for (const stop of route.stops) {
      const promised = stop.pinned ? ", promised" : "";
      process.stdout.write(
        `    ${stop.start.slice(11, 16)} to ${stop.depart.slice(11, 16)}  ${stop.site_id}, ${stop.drive_km} km${promised}\n`,
      );
    }
  }
  for (const visit of plan.unserved) process.stdout.write(`not served: ${visit.site_id}. ${visit.why}\n`);
  const gap = plan.gap === null ? "no bound" : `at most ${(100 * plan.gap).toFixed(2)} % below any plan`;
  process.stdout.write(
    `loss avoided less driving and work ${Math.round(plan.objective).toLocaleString("en-US")}, ${gap}\n`,
  );
  return 0;
}
