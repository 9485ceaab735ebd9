import { existsSync, mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import path from "node:path";
import { parseArgs } from "node:util";
import { build } from "../../lib/cli/start.mjs";
import { DEMO } from "../../seed/world.ts";
import { fuzzPart } from "./fuzz-part.ts";
import { killsPart } from "./kills-part.ts";
import { loadPart } from "./load-part.ts";
import type { LongPart, PartState } from "./part.ts";
import { studiesPart } from "./studies-part.ts";

const HELP = `npm run test:long -- [options]

  --only PARTS    comma list of fuzz, kills, load, studies (all of them)
  --seed TEXT     same seed, same cases (1)
  --resume        go on where the last run ended
  --minutes N     end after about N minutes; --resume takes it up again
  --share X       a share of the full counts, 0 to 1 (1)
  --short         what npm test runs of it: 10 kills, 10 s of load

Exit status: 0 all done and nothing failed, 1 something failed, 2 wrong use, 4 not done yet.
`;

interface State {
  seed: string;
  share: number;
  short: boolean;
  parts: Record<string, PartState>;
}

const root = path.resolve(import.meta.dirname, "..", "..");
const folder = path.join(root, "test-results", "long");
const stateFile = path.join(folder, "state.json");
const MOST_FAILURES_KEPT = 20;

function partsOf(share: number, short: boolean): LongPart[] {
  const n = (full: number) => Math.max(1, Math.round(full * share));
  if (short) return [killsPart(10), loadPart({ seconds: 10, users: 20, sites: 24, mostRequests: 30 })];
  return [
    fuzzPart(n(100_000)),
    killsPart(n(200)),
    loadPart({ seconds: n(300), users: 100, sites: n(50 * DEMO.sites), mostRequests: 150 }),
    studiesPart(),
  ];
}

function save(state: State): void {
  writeFileSync(`${stateFile}.new`, JSON.stringify(state, null, 1));
  renameSync(`${stateFile}.new`, stateFile);
}

async function main(): Promise<number> {
  const { values } = parseArgs({
    options: {
      only: { type: "string" },
      seed: { type: "string", default: "1" },
      resume: { type: "boolean" },
      minutes: { type: "string" },
      share: { type: "string", default: "1" },
      short: { type: "boolean", default: false },
      help: { type: "boolean" },
    },
  });
  const share = Number(values.share);
  const minutes = values.minutes === undefined ? Number.POSITIVE_INFINITY : Number(values.minutes);
  if (values.help || !(share > 0 && share <= 1) || !(minutes > 0)) {
    process.stdout.write(HELP);
    return values.help ? 0 : 2;
  }
  if (!values.resume) rmSync(folder, { recursive: true, force: true });
  mkdirSync(folder, { recursive: true });
  const held = existsSync(stateFile) ? (JSON.parse(readFileSync(stateFile, "utf8")) as State) : null;
  const state: State = held ?? { seed: values.seed, share, short: values.short, parts: {} };
  const all = partsOf(state.share, state.short);
  const wanted = values.only?.split(",") ?? all.map((part) => part.name);
  const stranger = wanted.find((name) => !all.some((part) => part.name === name));
  if (stranger !== undefined) {
    process.stderr.write(`There is no part "${stranger}".\n${HELP}`);
    return 2;
  }
  // Kills and load run the server as it is built.
  if (wanted.some((name) => name === "kills" || name === "load")) build();
  let stopping = false;
  for (const signal of ["SIGINT", "SIGTERM"] as const)
    process.on(signal, () => {
      process.stderr.write("ending after this slice; --resume takes it up again\n");
      stopping = true;
    });
  const end = Date.now() + minutes * 60_000;
  const over = () => stopping || Date.now() > end;
  for (const part of all.filter((p) => wanted.includes(p.name))) await runPart(part, state, over);
  return report(
    all.filter((p) => wanted.includes(p.name)),
    state,
  );
}

async function runPart(part: LongPart, state: State, over: () => boolean): Promise<void> {
  const own: PartState = state.parts[part.name] ?? { done: 0, failed: 0, figures: {}, failures: [] };
  state.parts[part.name] = own;
  const fail = (says: string) => {
    own.failed++;
    if (own.failures.length < MOST_FAILURES_KEPT) own.failures.push(says);
    process.stderr.write(`FAIL ${part.name}: ${says}\n`);
  };
  const context = { seed: state.seed, failures: path.join(folder, "failures"), fail };
  try {
    while (own.done < part.total && !over()) {
      const before = own.done;
      await part.slice(own, context);
      if (own.done <= before) throw new Error(`${part.name} does not get on`);
      save(state);
      process.stderr.write(`${part.name}: ${own.done} of ${part.total} ${part.unit}, ${own.failed} failed\n`);
    }
  } finally {
    await part.close?.();
  }
}

function report(parts: LongPart[], state: State): number {
  let code = 0;
  for (const part of parts) {
    const own = state.parts[part.name] as PartState;
    const done = own.done >= part.total;
    const word = own.failed > 0 ? "FAIL" : done ? "ok  " : "part";
    process.stdout.write(
      `${word} ${part.name}: ${own.done} of ${part.total} ${part.unit}, ${own.failed} failed; ${part.says(own)}\n`,
    );
    if (own.failed > 0) code = 1;
    else if (!done && code === 0) code = 4;
  }
  return code;
}

process.exitCode = await main();
process.exit();
