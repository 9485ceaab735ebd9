import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { seededRng } from "../../lib/core/random.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { carryOut, jobsLeft, PHASES, type Phase, picture, wipe } from "./kill-work.ts";
import type { LongPart } from "./part.ts";
import { Serving, VICTIMS, type Victim } from "./serving.ts";

interface Bench {
  serving: Serving;
  drop: string;
  /** What an undisturbed run leaves, and how long its phases take, ms. */
  whole: Record<string, string>;
  takes: Record<Phase, number>;
}

/** Kill -9 one process at a random moment of a random piece of work, `total` times; after each, nothing may be lost. */
export function killsPart(total: number): LongPart {
  let bench: Bench | null = null;
  return {
    name: "kills",
    total,
    unit: "kills",
    async slice(state, context) {
      bench ??= await setUp();
      const { serving, drop, whole, takes } = bench;
      const n = state.done;
      const rng = seededRng(`${context.seed}/kills/${n}`);
      // Every phase and every victim comes up equally often; the moment within is drawn.
      const phase = PHASES[(n + Math.floor(n / 12)) % PHASES.length] as Phase;
      const victim = VICTIMS[n % VICTIMS.length] as Victim;
      const after = rng() * takes[phase];
      const what = `kill ${n}: ${victim} after ${Math.round(after)} ms of the ${phase}`;
      try {
        await wipe(serving);
        for (const each of PHASES) {
          if (each !== phase) {
            await carryOut(serving, each, drop);
            continue;
          }
          const kill = sleep(after).then(() => serving.kill(victim));
          await carryOut(serving, each, drop);
          if (!(await kill)) state.figures["found nobody to kill"] = (state.figures["found nobody to kill"] ?? 0) + 1;
        }
        await serving.revive();
        // A kill near the end of a phase may have left a score to be done again.
        await carryOut(serving, "score", drop);
        const now = await picture(serving);
        const other = Object.keys(whole).filter((key) => whole[key] !== now[key]);
        if (other.length > 0)
          context.fail(`${what}: ${other.map((key) => `${key} ${now[key]} instead of ${whole[key]}`).join("; ")}`);
      } catch (error) {
        context.fail(`${what}: ${(error as Error).message}`);
        await serving.revive();
      }
      state.figures[victim] = (state.figures[victim] ?? 0) + 1;
      state.done++;
      if (state.done === total) await drained(serving, context.fail);
    },
    says: (state) =>
      `killed ${VICTIMS.map((victim) => `${victim} ${state.figures[victim] ?? 0}`).join(", ")}; ${state.figures["found nobody to kill"] ?? 0} found nobody`,
    close: async () => {
      await bench?.serving.stop();
      if (bench) rmSync(path.dirname(bench.drop), { recursive: true, force: true });
    },
  };
}

async function setUp(): Promise<Bench> {
  const drop = path.join(mkdtempSync(path.join(os.tmpdir(), "raintrip-kill-drop-")), "drop");
  await writeDemoDrop(drop, { seed: "kills", sites: 6, days: 150, endDay: "2026-10-31" });
  const serving = new Serving();
  await serving.start();
  const takes = {} as Record<Phase, number>;
  for (const phase of PHASES) {
    const began = performance.now();
    await carryOut(serving, phase, drop);
    takes[phase] = performance.now() - began;
  }
  return { serving, drop, whole: await picture(serving), takes };
}

/** The queue empties, also of jobs whose worker was killed. */
async function drained(serving: Serving, fail: (says: string) => void): Promise<void> {
  for (let i = 0; i < 120; i++) {
    if ((await jobsLeft(serving)) === 0) return;
    await sleep(500);
  }
  fail(`${await jobsLeft(serving)} jobs are left in the queue a minute after the last kill`);
}
