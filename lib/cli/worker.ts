import { readyDatabase } from "../jobs/ready.ts";
import { startWorker } from "../jobs/worker.ts";
import { yieldToPages } from "../jobs/yield-to-pages.ts";
import { nameWorkerConnections } from "../store/database.ts";
import { readArguments } from "./read-arguments.ts";
import { startTracing } from "./tracing.mjs";

/** A worker until told to stop; any number may run, on any host that reaches the database. */
export async function workerCommand(args: string[]): Promise<number> {
  readArguments({ args });
  const endTracing = await startTracing("raintrip-worker");
  nameWorkerConnections();
  const { db } = await readyDatabase();
  const endYielding = yieldToPages(db);
  const stop = await startWorker(db);
  await new Promise<void>((resolve) => {
    for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const) process.on(signal, () => resolve());
    process.on("disconnect", () => resolve()); // the supervisor was killed
  });
  endYielding();
  await stop();
  await endTracing();
  return 0;
}
