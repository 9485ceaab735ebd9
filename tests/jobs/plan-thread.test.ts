import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { brokenRules } from "../../lib/dispatch/routes/plan-validator.ts";
import { planInThread } from "../../lib/jobs/plan-thread.ts";
import { fleetInstance } from "../support/fleet-routes.ts";

const instance = fleetInstance(seededRng("thread"), 60, 2, 3);

describe("planInThread", () => {
  test("gives the same plan for the same seed and effort, with a bound, and tells how far it is", async () => {
    const told: string[] = [];
    const ask = { instance, seed: "1", effort: 60 };
    const first = await planInThread({ ...ask, onWord: (word) => told.push(word.kind) });
    const second = await planInThread(ask);
    expect(second).toEqual(first);
    expect(brokenRules(instance, first.routes)).toEqual([]);
    expect(first.bound).toBeGreaterThanOrEqual(first.objective);
    expect(first.gap).toBeLessThan(0.01);
    expect(new Set(told)).toEqual(new Set(["better", "bound", "step"]));
  });

  test("stopped, keeps the best so far", async () => {
    let better = 0;
    const found = await planInThread({
      instance,
      seed: "1",
      effort: 1e9,
      stopped: () => better > 3,
      onWord: ({ kind }) => {
        if (kind === "better") better++;
      },
    });
    expect(better).toBeGreaterThan(3);
    expect(found.routes.flat().length).toBeGreaterThan(5);
    expect(brokenRules(instance, found.routes)).toEqual([]);
    expect(found.bound).toBeNull();
  });

  test("one more than may wait is turned away, and the others are planned", async () => {
    const asks = Array.from({ length: 6 }, (_, n) => planInThread({ instance, seed: String(n), effort: 5 }));
    const ends = await Promise.allSettled(asks);
    expect(ends.map((end) => end.status)).toEqual([...Array(5).fill("fulfilled"), "rejected"]);
    expect((ends[5] as PromiseRejectedResult).reason.code).toBe("busy");
  });
});
