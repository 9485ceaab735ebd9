import { describe, expect, test } from "vitest";
import { exceedanceOption, moneyScale } from "../../app/_ui/chart/exceedance-option.ts";
import type { Tokens } from "../../app/_ui/chart/tokens.ts";
import { estimateText, rangedMoney } from "../../app/_ui/format.ts";

const TOKENS: Tokens = { ink: "k", soft: "s", line: "l", water: "w", fault: "f", for: "a", against: "b" };

describe("exceedanceOption", () => {
  const curve = [
    { probability: 0.99, loss: 10_000 },
    { probability: 0.05, loss: 90_000 },
    { probability: 0.001, loss: 4_000_000 },
  ];

  test("draws loss against the chance of more, and each value at risk at its own chance, in one unit", () => {
    const option = exceedanceOption({ currency: "USD", curve, marks: [{ level: 0.95, loss: 90_000 }] }, TOKENS);
    const [line, marks] = option.series;
    expect(line?.data).toEqual([
      [0.01, 0.99],
      [0.09, 0.05],
      [4, 0.001],
    ]);
    const [loss, chance] = (marks?.data as number[][] | undefined)?.[0] ?? [];
    expect(loss).toBeCloseTo(0.09, 12);
    expect(chance).toBeCloseTo(0.05, 12);
    expect(option.xAxis).toMatchObject({ name: "net loss of the year, million USD" });
  });

  test("sums keep a unit that can be read", () => {
    expect([5e6, 40_000, 300].map((most) => moneyScale(most).name)).toEqual(["million ", "thousand ", ""]);
  });
});

describe("money with what it is known to", () => {
  test("a drawn figure shows no digits that its error makes void, and an expectation shows its band", () => {
    expect(estimateText({ value: 1_700_728, error: 162_350 }, "USD")).toBe("1,701,000 ± 160,000 USD");
    expect(estimateText({ value: 35_292, error: 0.4 }, "USD")).toBe("35,290 ± 1 USD");
    expect(rangedMoney({ value: 100.4, low: 80, high: 130.6 }, "EUR")).toBe("100 (80 to 131) EUR");
  });
});
