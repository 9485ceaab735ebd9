import { existsSync, mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import path from "node:path";
import type { LongPart, PartState } from "./part.ts";

/** What one part's file holds: each part has its own, so that two may run beside each other and none loses another's. */
interface Held {
  seed: string;
  share: number;
  state: PartState;
}

const MOST_FAILURES_KEPT = 20;

export interface LongRun {
  /** Where each part has a folder of its own. */
  folder: string;
  /** Undefined: 1, or what a run that is taken up was begun with. */
  seed: string | undefined;
  share: number | undefined;
  resume: boolean;
  /** Asked between slices. */
  over: () => boolean;
  stop: AbortSignal;
  partOf: (name: string, share: number) => LongPart;
}

/**
 * Run parts one after another, each in slices, keeping after each slice what it got done.
 * @returns a line a part, and 0 all done, 1 something failed, 4 not done yet
 * @throws WrongUse where what is to be taken up was begun otherwise; nothing was run or taken away then
 */
export async function runParts(
  names: readonly string[],
  run: LongRun,
): Promise<{ lines: string[]; status: 0 | 1 | 4 }> {
  const keepers = names.map((name) => ({ name, keeper: new Keeper(path.join(run.folder, name), run) }));
  const taken = keepers.map(({ name, keeper }) => ({
    name,
    keeper,
    held: run.resume ? keeper.resume(name) : keeper.begin(),
  }));
  let status: 0 | 1 | 4 = 0;
  const lines: string[] = [];
  for (const { name, keeper, held } of taken) {
    const part = run.partOf(name, held.share);
    await runPart(part, keeper, held, run);
    const told = report(part, held);
    lines.push(told.line);
    if (status !== 1 && told.status !== 0) status = told.status;
  }
  return { lines, status };
}

const NOTHING_DONE = (): PartState => ({ done: 0, failed: 0, figures: {}, failures: [] });

/** What is asked does not fit what was begun. */
export class WrongUse extends Error {}

/** A part's own folder: its state, and the files of what failed. */
class Keeper {
  readonly failures: string;
  readonly #file: string;

  constructor(
    private readonly folder: string,
    private readonly asked: { seed: string | undefined; share: number | undefined },
  ) {
    this.failures = path.join(folder, "failures");
    this.#file = path.join(folder, "state.json");
  }

  /** Begin anew, which takes away what an earlier run of this part left; of the other parts nothing. */
  begin(): Held {
    rmSync(this.folder, { recursive: true, force: true });
    mkdirSync(this.folder, { recursive: true });
    return { seed: this.asked.seed ?? "1", share: this.asked.share ?? 1, state: NOTHING_DONE() };
  }

  /** Go on; a seed or share that differs would make one result of two runs. */
  resume(name: string): Held {
    if (!existsSync(this.#file)) {
      process.stderr.write(`${name}: there is nothing to go on with, so it begins\n`);
      return this.begin();
    }
    const held = JSON.parse(readFileSync(this.#file, "utf8")) as Held;
    for (const key of ["seed", "share"] as const)
      if (this.asked[key] !== undefined && this.asked[key] !== held[key])
        throw new WrongUse(
          `${name} was begun with --${key} ${held[key]}: go on without --${key}, or begin anew without --resume.`,
        );
    return held;
  }

  save(held: Held): void {
    writeFileSync(`${this.#file}.new`, JSON.stringify(held, null, 1));
    renameSync(`${this.#file}.new`, this.#file);
  }
}

async function runPart(part: LongPart, keeper: Keeper, held: Held, { over, stop }: LongRun): Promise<void> {
  const own = held.state;
  const fail = (says: string) => {
    own.failed++;
    if (own.failures.length < MOST_FAILURES_KEPT) own.failures.push(says);
    process.stderr.write(`FAIL ${part.name}: ${says}\n`);
  };
  const context = { seed: held.seed, failures: keeper.failures, fail, stop };
  try {
    while (own.done < part.total && !over()) {
      const before = own.done;
      await part.slice(own, context);
      if (own.done <= before && stop.aborted) break;
      if (own.done <= before) throw new Error(`${part.name} does not get on`);
      keeper.save(held);
      process.stderr.write(`${part.name}: ${own.done} of ${part.total} ${part.unit}, ${own.failed} failed\n`);
    }
  } finally {
    await part.close?.();
  }
}

function report(part: LongPart, { state }: Held): { line: string; status: 0 | 1 | 4 } {
  const done = state.done >= part.total;
  const word = state.failed > 0 ? "FAIL" : done ? "ok  " : "part";
  return {
    line: `${word} ${part.name}: ${state.done} of ${part.total} ${part.unit}, ${state.failed} failed; ${part.says(state)}\n`,
    status: state.failed > 0 ? 1 : done ? 0 : 4,
  };
}
