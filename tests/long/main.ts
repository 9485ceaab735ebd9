import path from "node:path";
import { parseArgs } from "node:util";
import { build } from "../../lib/cli/start.mjs";
import { DEMO } from "../../seed/world.ts";
import { fuzzPart } from "./fuzz-part.ts";
import { killsPart } from "./kills-part.ts";
import { loadPart } from "./load-part.ts";
import type { LongPart } from "./part.ts";
import { runParts, WrongUse } from "./run-parts.ts";
import { studiesPart } from "./studies-part.ts";

const HELP = `npm run test:long -- [options]

  --only PARTS    comma list of fuzz, kills, load, load-calm, studies (all of them)
  --seed TEXT     same seed, same cases (1)
  --resume        go on where each part ended; without it the parts asked for begin anew, the others keep theirs
  --minutes N     end after about N minutes; --resume takes it up again
  --share X       a share of the full counts, 0 to 1 (1)
  --short         what npm test runs of it: 10 kills, 10 s of load

Exit status: 0 all done and nothing failed, 1 something failed, 2 wrong use, 4 not done yet.
`;

const root = path.resolve(import.meta.dirname, "..", "..");

function partsOf(share: number, short: boolean): LongPart[] {
  const n = (full: number) => Math.max(1, Math.round(full * share));
  if (short) return [killsPart(10), loadPart({ seconds: 10, users: 20, sites: 24, mostRequests: 30, thinkMs: 400 })];
  const load = { seconds: n(300), users: 100, sites: n(50 * DEMO.sites), mostRequests: 150 };
  return [
    fuzzPart(n(100_000)),
    killsPart(n(200)),
    loadPart({ ...load, thinkMs: 400 }),
    loadPart({ ...load, thinkMs: 5000 }, "load-calm"),
    studiesPart(),
  ];
}

async function main(): Promise<number> {
  const { values } = parseArgs({
    options: {
      only: { type: "string" },
      seed: { type: "string" },
      resume: { type: "boolean", default: false },
      minutes: { type: "string" },
      share: { type: "string" },
      short: { type: "boolean", default: false },
      help: { type: "boolean" },
    },
  });
  const share = values.share === undefined ? undefined : Number(values.share);
  const minutes = values.minutes === undefined ? Number.POSITIVE_INFINITY : Number(values.minutes);
  if (values.help || (share !== undefined && !(share > 0 && share <= 1)) || !(minutes > 0)) {
    process.stdout.write(HELP);
    return values.help ? 0 : 2;
  }
  const names = partsOf(1, values.short).map((part) => part.name);
  const wanted = values.only?.split(",") ?? names;
  const stranger = wanted.find((name) => !names.includes(name));
  if (stranger !== undefined) throw new WrongUse(`There is no part "${stranger}".\n${HELP}`);
  // What npm test runs must not take the place of hours of results.
  const folder = path.join(root, "test-results", values.short ? "long-short" : "long");
  // Kills and load run the server as it is built.
  if (wanted.some((name) => name === "kills" || name.startsWith("load"))) build();
  const stop = new AbortController();
  for (const signal of ["SIGINT", "SIGTERM"] as const)
    process.on(signal, () => {
      process.stderr.write("ending after this slice; --resume takes it up again\n");
      stop.abort();
    });
  const end = Date.now() + minutes * 60_000;
  const over = () => stop.signal.aborted || Date.now() > end;
  const { lines, status } = await runParts(
    names.filter((name) => wanted.includes(name)),
    {
      folder,
      seed: values.seed,
      share,
      resume: values.resume,
      stop: stop.signal,
      over,
      partOf: (name, of) => partsOf(of, values.short).find((part) => part.name === name) as LongPart,
    },
  );
  process.stdout.write(lines.join(""));
  return status;
}

process.exitCode = await main().catch((error: Error) => {
  if (!(error instanceof WrongUse)) throw error;
  process.stderr.write(`${error.message}\n`);
  return 2;
});
process.exit();
