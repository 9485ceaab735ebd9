import { describe, expect, test } from "vitest";
import { seededRng } from "../../../lib/core/random.ts";
import { search } from "../../../lib/dispatch/routes/search.ts";
import { bestKnown, type Orienteering, readChao, readSolomon } from "../../support/orienteering.ts";

function score({ problem, recheck }: Orienteering, effort: number): number {
  const candidates = Array.from({ length: problem.stops }, (_, i) => i);
  const found = search(problem, { effort, rng: seededRng("published"), candidates, kept: new Set() });
  const checked = recheck(found.routes.map((route) => route.stops));
  expect(checked).toBeCloseTo(found.gain, 6);
  return checked;
}

describe("search on published instances", () => {
  // Best known: see tests/data/routing/PROVENANCE.md.
  test.each([...bestKnown()])(
    "team orienteering %s: never above the best score known, and not 1 % below",
    (file, best) => {
      const found = score(readChao(file), 600);
      expect(found).toBeLessThanOrEqual(best);
      expect(found).toBeGreaterThanOrEqual(best * 0.99);
    },
  );

  // Scores of the literature, from memory: see tests/data/routing/PROVENANCE.md.
  test.each([
    ["C101", 320],
    ["R101", 198],
    ["RC101", 219],
  ] as const)("orienteering with time windows %s, one vehicle: the best score known", (name, best) => {
    expect(score(readSolomon(name, 1), 1000)).toBe(best);
  });
});
