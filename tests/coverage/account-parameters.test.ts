import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { ACCOUNT_PARAMETERS, lossParametersOf, lossRows, tableProblem } from "../../lib/coverage/account-parameters.ts";
import { DEFAULT_LOSS_PARAMETERS } from "../../lib/coverage/loss-parameters.ts";
import { overrideProblem, withOverrides } from "../../lib/diagnose/parameter-overrides.ts";
import { DEFAULT_PARAMETERS, drawValues } from "../../lib/diagnose/parameters.ts";

const set = (key: string, value: number) =>
  withOverrides(
    ACCOUNT_PARAMETERS,
    { [key]: { value, spread: 0, provenance: { kind: "judgement", source: "a test" } } },
    "v",
  );

describe("ACCOUNT_PARAMETERS", () => {
  test("every number of the loss model is a row, and comes back from the rows as it was", () => {
    const { provenance: _, ...numbers } = lossParametersOf(ACCOUNT_PARAMETERS);
    const { provenance: __, ...defaults } = DEFAULT_LOSS_PARAMETERS;
    expect(numbers).toEqual(defaults);
    expect(lossParametersOf(set("loss.repairCost.egc_broken", 999)).repairCost.egc_broken).toBe(999);
    expect(lossParametersOf(DEFAULT_PARAMETERS)).toMatchObject(defaults);
  });

  test("every default may stand, has a source, and no key is there twice", () => {
    for (const row of lossRows(DEFAULT_LOSS_PARAMETERS)) {
      expect(overrideProblem(row, row), row.key).toBeNull();
      expect(row.provenance.source.length).toBeGreaterThan(5);
    }
    const keys = ACCOUNT_PARAMETERS.rows.map((row) => row.key);
    expect(new Set(keys).size).toBe(keys.length);
  });

  test("rows of money do not move the draws that the bands of probabilities come from", () => {
    const rng = seededRng("draws");
    const other = seededRng("draws");
    for (let i = 0; i < 3; i++) {
      const all = drawValues(ACCOUNT_PARAMETERS, rng);
      for (const [key, value] of drawValues(DEFAULT_PARAMETERS, other)) expect(all.get(key)).toBe(value);
    }
  });

  test("what cannot be is refused with a sentence", () => {
    const row = (key: string) => ACCOUNT_PARAMETERS.rows.find((r) => r.key === key) ?? { unit: "share" as const };
    expect(overrideProblem(row("loss.evidenceAccepted"), { value: 1.2, spread: 0 })).toContain("from 0 to 1");
    expect(overrideProblem(row("loss.evidenceAccepted"), { value: 0.4, spread: 0.2 })).toContain("no spread");
    expect(overrideProblem(row("loss.drawnYears"), { value: 5001, spread: 0 })).toContain("even number");
    expect(overrideProblem(row("loss.serialLeast"), { value: 2.5, spread: 0 })).toContain("whole number");
    expect(tableProblem(ACCOUNT_PARAMETERS)).toBeNull();
    expect(tableProblem(set("loss.sharedInstaller", 0.9))).toContain("nothing is left to the site itself");
  });
});
