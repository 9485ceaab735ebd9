import "server-only";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { wakeWeather } from "../jobs/wake-worker.ts";
import { weatherFeed } from "../jobs/weather-run.ts";
import type { Actor } from "../store/actor.ts";
import { writeTransaction } from "../store/transaction.ts";
import { addFeedRun, isOpenRun, newestFeedRun, stopFeedRuns } from "../store/weather-feed.ts";

/**
 * Ask the weather service now. One run at a time; the service's own wish for quiet is respected.
 * @throws AppError `conflict` when the feed is off, runs already, or the service asked for quiet
 */
export async function startWeatherRun(actor: Actor): Promise<{ runId: string }> {
  authorise(actor, "weather_feed.run");
  if (weatherFeed().kind !== "on")
    throw new AppError("conflict", { message: "The weather feed is off. README says how to turn it on." });
  const runId = await writeTransaction(actor, async (tx) => {
    await tx`SELECT pg_advisory_xact_lock(hashtextextended('weather-run/' || current_account(), 0))`;
    const run = await newestFeedRun(tx);
    if (isOpenRun(run)) throw new AppError("conflict", { message: "The weather feed is being asked already." });
    if (run?.quietUntil && run.quietUntil > Date.now())
      throw new AppError("conflict", {
        message: `The service asked for quiet until ${new Date(run.quietUntil).toISOString().slice(0, 16)} UTC.`,
      });
    const id = await addFeedRun(tx, actor.person);
    return { result: id, note: { action: "weather.ask", subject: id } };
  });
  // The worker's own round finds the run too; this only makes it sooner.
  await wakeWeather(actor.accountId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
  return { runId };
}

/** Stop the run that is open; what it stored stays. */
export async function stopWeatherRun(actor: Actor): Promise<{ stopped: boolean }> {
  authorise(actor, "weather_feed.run");
  return writeTransaction(actor, async (tx) => {
    const stopped = (await stopFeedRuns(tx, `Stopped by ${actor.person}; the next run goes on from there.`)) > 0;
    return { result: { stopped }, note: stopped ? { action: "weather.stop", subject: "feed" } : null };
  });
}
