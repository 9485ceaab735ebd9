import { describe, expect, test } from "vitest";
import { barsOption } from "../../app/_ui/chart/bars-option.ts";
import { lagOption } from "../../app/_ui/chart/lag-option.ts";
import type { Tokens } from "../../app/_ui/chart/tokens.ts";

const TOKENS: Tokens = { ink: "k", soft: "s", line: "l", water: "w", fault: "f", for: "a", against: "b" };

describe("lagOption", () => {
  const lag = { lags: [-1, 0, 1], excess: [0.2, 3, null], logRatio: [0.1, 1, null], envelope: 2.5, peakLag: 0 };

  test("draws every lag, leaves gaps where nothing can be compared, and the envelope across all of them", () => {
    const [curve, envelope] = lagOption(lag, TOKENS).series;
    expect(curve?.data).toEqual([
      [-1, 0.2],
      [0, 3],
      [1, null],
    ]);
    expect(envelope?.data).toEqual([
      [-1, 2.5],
      [1, 2.5],
    ]);
  });

  test("draws no envelope where there are too few days for one", () => {
    expect(lagOption({ ...lag, envelope: null }, TOKENS).series).toHaveLength(1);
  });
});

describe("barsOption", () => {
  const bars = { categories: ["a", "b"], xName: "x", yName: "y" };

  test("two series are told apart without colour, and unknown bars are gaps", () => {
    const option = barsOption(
      {
        ...bars,
        series: [
          { name: "before", values: [1, null], token: "soft" },
          { name: "after", values: [2, 3], token: "water" },
        ],
      },
      TOKENS,
    );
    expect(option.series.map((s) => s.data)).toEqual([
      [1, null],
      [2, 3],
    ]);
    expect(option.aria).toMatchObject({ decal: { show: true } });
    expect(option.legend).toBeDefined();
  });

  test("a level is drawn once", () => {
    const option = barsOption({ ...bars, levelAt: 1, series: [{ name: "n", values: [1, 2], token: "water" }] }, TOKENS);
    expect(JSON.stringify(option.series)).toContain('"yAxis":1');
  });
});
