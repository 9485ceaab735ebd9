import { describe, expect, test } from "vitest";
import { diagnosisFigures } from "./diagnosis-figures.ts";

describe("diagnosisFigures, a small size of the study", () => {
  // Loose floors set by judgement, to catch a regression; the study itself prints the figures to be quoted.
  test("without labels the diagnosis ranks and states better than counting faults with labels does", () => {
    const { scores, slope, coverage } = diagnosisFigures("test", 100, 60);
    const of = (name: string) => {
      const score = scores.find((s) => s.name.startsWith(name));
      if (!score) throw new Error(name);
      return score;
    };
    const model = of("this diagnosis");
    expect(model.auc).toBeGreaterThan(0.75);
    expect(model.brier).toBeLessThan(0.21);
    expect(model.brier).toBeLessThan(of("count of faults").brier);
    expect(Math.abs(model.auc - of("oracle").auc)).toBeLessThan(0.12);
    expect(slope?.value).toBeGreaterThan(0.3);
    expect(coverage.share).toBeGreaterThan(0.6);
  }, 60_000);
});
