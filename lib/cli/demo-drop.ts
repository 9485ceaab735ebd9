import { LARGE_FLEET } from "../../seed/large-fleet.ts";
import { writeLargeFleet } from "../../seed/write-large-fleet.ts";
import { AppError } from "../core/app-error.ts";
import { readArguments } from "./read-arguments.ts";

/** `demo-drop --sites N --years Y --out FOLDER`: an invented fleet of any size as a drop; no database is touched. */
export async function demoDropCommand(args: string[]): Promise<number> {
  const { values } = readArguments({
    args,
    options: {
      out: { type: "string" },
      sites: { type: "string", default: "200" },
      years: { type: "string", default: String(LARGE_FLEET.years) },
      seed: { type: "string", default: LARGE_FLEET.seed },
      end: { type: "string", default: LARGE_FLEET.endDay },
      weather: { type: "string", default: "csv" },
      json: { type: "boolean" },
    },
  });
  const wrong = (message: string) => new AppError("wrong_use", { message });
  if (!values.out) throw wrong("demo-drop needs --out FOLDER, a new folder to write into.");
  const sites = Number(values.sites);
  const years = Number(values.years);
  if (!Number.isInteger(sites) || sites < 1 || sites > 99_999)
    throw wrong("--sites is a whole number from 1 to 99999.");
  if (!(years >= 0.25 && years <= 20)) throw wrong("--years is a number from 0.25 to 20.");
  if (Number.isNaN(Date.parse(`${values.end}T00:00:00Z`))) throw wrong("--end is a day as 2026-10-31.");
  if (values.weather !== "csv" && values.weather !== "none") throw wrong("--weather is csv or none.");
  const stopping = new AbortController();
  process.once("SIGINT", () => stopping.abort());
  const done = await writeLargeFleet(values.out, {
    ...{ sites, years, seed: values.seed, endDay: values.end, weather: values.weather === "csv" },
    signal: stopping.signal,
    onProgress: sayProgress(),
  }).catch((cause: Error) => {
    throw new AppError("file_unreadable", { message: cause.message, cause });
  });
  if (values.json) process.stdout.write(`${JSON.stringify(done)}\n`);
  else for (const [file, rows] of Object.entries(done.rows)) process.stdout.write(`${file}: ${rows} rows\n`);
  if (done.stopped) process.stderr.write(`raintrip: stopped; ${values.out} holds a part of the fleet.\n`);
  return done.stopped ? 3 : 0;
}

function sayProgress(): (sites: number, of: number) => void {
  let last = performance.now();
  return (sites, of) => {
    if (performance.now() - last < 5000) return;
    last = performance.now();
    process.stderr.write(`${sites.toLocaleString("en-US")} of ${of.toLocaleString("en-US")} sites\n`);
  };
}
