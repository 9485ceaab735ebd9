import { AppError } from "../core/app-error.ts";
import { askRoads, roadService } from "../jobs/ask-roads.ts";
import { readyDatabase } from "../jobs/ready.ts";
import { LOCAL_ACTOR } from "../store/actor.ts";
import { importTravelTimes } from "../writes/travel-times.ts";
import { readArguments } from "./read-arguments.ts";

const MOST_TOLD = 20;

/** Take travel times from a file, or ask the routing server for those that plans lack. */
export async function travelTimesCommand(args: string[]): Promise<number> {
  const { values, positionals } = readArguments({
    args,
    options: { ask: { type: "boolean" }, json: { type: "boolean" } },
    allowPositionals: true,
  });
  const [file, ...more] = positionals;
  if (more.length > 0 || (file === undefined) === (values.ask !== true))
    throw new AppError("wrong_use", { message: "Give one CSV file of travel times, or --ask for the routing server." });
  const { db } = await readyDatabase();
  if (file === undefined) {
    const service = roadService();
    if (service.kind !== "on")
      throw new AppError("wrong_use", {
        message: service.kind === "wrong" ? service.says : "RAINTRIP_ROADS_URL names no routing server.",
      });
    const asked = await askRoads(db, LOCAL_ACTOR, { signal: new AbortController().signal, service });
    const says = `${asked.stored} ways stored after ${asked.requests} requests. ${asked.says ?? "Nothing is left to ask for."}`;
    process.stdout.write(values.json ? `${JSON.stringify(asked)}\n` : `${says}\n`);
    return asked.says === null ? 0 : 1;
  }
  const read = await importTravelTimes(LOCAL_ACTOR, file);
  if (values.json) process.stdout.write(`${JSON.stringify(read)}\n`);
  else {
    process.stdout.write(`${read.stored} ${read.stored === 1 ? "way" : "ways"} stored.\n`);
    for (const { line, why } of read.refused.slice(0, MOST_TOLD)) process.stdout.write(`line ${line}: ${why}\n`);
    const rest = read.refused.length - MOST_TOLD;
    if (rest > 0) process.stdout.write(`and ${rest} lines more\n`);
  }
  return read.refused.length > 0 ? 1 : 0;
}
