import { existsSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import type { LongPart } from "../long/part.ts";
import { type LongRun, runParts, WrongUse } from "../long/run-parts.ts";

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-long-run-"));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

/** Counts one a slice and remembers which; number 3 of it fails. */
function counting(name: string, total: number, ran: string[]): LongPart {
  return {
    name,
    total,
    unit: "cases",
    async slice(state, { seed, fail }) {
      ran.push(`${name} ${seed} ${state.done}`);
      if (state.done === 3) fail("number 3");
      state.figures.seen = (state.figures.seen ?? 0) + 1;
      state.done++;
    },
    says: (state) => `${state.figures.seen} seen`,
  };
}

/** Runs until `slices` slices are done, as one that is ended does. */
function run(names: string[], slices: number, ran: string[], given: Partial<LongRun> = {}) {
  let left = slices;
  return runParts(names, {
    folder,
    seed: undefined,
    share: undefined,
    resume: false,
    stop: new AbortController().signal,
    over: () => left-- <= 0,
    partOf: (name, share) => counting(name, 10 * share, ran),
    ...given,
  });
}

describe("a long run", () => {
  test("that was ended is taken up where it ended, and nothing is done or counted twice", async () => {
    const ran: string[] = [];
    expect(await run(["a"], 5, ran, { seed: "7" })).toEqual({
      lines: ["FAIL a: 5 of 10 cases, 1 failed; 5 seen\n"],
      status: 1,
    });
    expect((await run(["a"], 99, ran, { resume: true })).lines).toEqual([
      "FAIL a: 10 of 10 cases, 1 failed; 10 seen\n",
    ]);
    expect(ran).toEqual(Array.from({ length: 10 }, (_, i) => `a 7 ${i}`));
  });

  test("begins one part anew and leaves the others theirs", async () => {
    const ran: string[] = [];
    await run(["a", "b"], 99, ran, { share: 0.2 });
    const kept = path.join(folder, "b", "failures");
    writeFileSync(kept, "");
    expect((await run(["a"], 1, [], { share: 0.2 })).status).toBe(4);
    expect(existsSync(kept)).toBe(true);
    ran.length = 0;
    expect(await run(["a", "b"], 99, ran, { resume: true })).toMatchObject({ status: 0 });
    expect(ran).toEqual(["a 1 1"]);
  });

  test("is not taken up with another seed or share, which would make one result of two", async () => {
    await run(["a"], 2, [], { seed: "7", share: 0.5 });
    for (const other of [{ seed: "8" }, { share: 1 }])
      await expect(run(["a"], 9, [], { resume: true, ...other })).rejects.toThrow(WrongUse);
    expect((await run(["a"], 0, [], { resume: true, seed: "7", share: 0.5 })).lines[0]).toContain("2 of 5");
  });

  test("asked to end in the middle of a slice that then did nothing ends without a failure", async () => {
    const stop = new AbortController();
    const idle: LongPart = {
      ...counting("a", 3, []),
      async slice() {
        stop.abort();
      },
    };
    const ended = await run(["a"], 9, [], { stop: stop.signal, partOf: () => idle });
    expect(ended.status).toBe(4);
  });
});
