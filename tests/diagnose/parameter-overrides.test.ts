import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { CAUSES, type Cause } from "../../lib/core/records.ts";
import { changedRows, overrideProblem, overridesOf, withOverrides } from "../../lib/diagnose/parameter-overrides.ts";
import { DEFAULT_PARAMETERS, type ParameterTable, valuesOf } from "../../lib/diagnose/parameters.ts";
import { learnFrom, type StatedOutcome, unlearnedTable, type VersionStep } from "../../lib/diagnose/unlearned-table.ts";

const JUDGED = { kind: "judgement" as const, source: "a test" };
const KEYS = DEFAULT_PARAMETERS.rows.map((row) => row.key);
const prior = (table: ParameterTable, cause: Cause) => valuesOf(table).get(`prior.${cause}`) as number;
const edited = (table: ParameterTable, key: string, value: number) =>
  withOverrides(table, { [key]: { value, spread: 0.3, provenance: JUDGED } }, "x");

describe("withOverrides", () => {
  test("property: overrides of the result are just the rows that differ, and applying them gives the table back", () => {
    fc.assert(
      fc.property(
        fc.uniqueArray(fc.constantFrom(...KEYS), { maxLength: 8 }),
        fc.double({ min: 0.01, max: 0.9, noNaN: true }),
        (keys, value) => {
          const table = withOverrides(
            DEFAULT_PARAMETERS,
            Object.fromEntries(keys.map((key) => [key, { value, spread: 0.123, provenance: JUDGED }])),
            "v",
          );
          const overrides = overridesOf(DEFAULT_PARAMETERS, table);
          expect(Object.keys(overrides).sort()).toEqual([...keys].sort());
          expect(withOverrides(DEFAULT_PARAMETERS, overrides, "v")).toEqual(table);
          expect(
            changedRows(DEFAULT_PARAMETERS, table)
              .map((c) => c.key)
              .sort(),
          ).toEqual([...keys].sort());
        },
      ),
    );
  });

  test("a key that the defaults no longer have replaces nothing", () => {
    const table = withOverrides(DEFAULT_PARAMETERS, { gone: { value: 1, spread: 1, provenance: JUDGED } }, "v");
    expect(table.rows).toEqual(DEFAULT_PARAMETERS.rows);
  });
});

describe("overrideProblem", () => {
  test("every row of the defaults may keep its value", () => {
    for (const row of DEFAULT_PARAMETERS.rows) expect(overrideProblem(row, row), row.key).toBeNull();
  });
  test.each([
    ["probability", 0, 0.3],
    ["probability", 1, 0.3],
    ["ohm", -1, 0.3],
    ["ohm", 0, 0.3],
    ["log odds", 11, 0.3],
    ["factor", Number.NaN, 0.3],
    ["V", 1, -0.1],
    ["V", 1, Number.NaN],
    ["V", 1, 5],
  ] as const)("%s may not be %d with spread %d", (unit, value, spread) => {
    expect(overrideProblem({ unit }, { value, spread })).not.toBeNull();
  });
});

describe("unlearnedTable", () => {
  const key = "prior.egc_broken";
  const one = edited(DEFAULT_PARAMETERS, key, 0.1);
  const two = edited(one, "prior.surge_damage", 0.3);
  const three = edited(two, "prior.detector_fault", 0.2);
  const steps: VersionStep[] = [
    { version: 1, parent: 0, kind: "edited", restores: null, table: one },
    { version: 2, parent: 1, kind: "learned", restores: null, table: two },
    { version: 3, parent: 2, kind: "edited", restores: null, table: three },
    { version: 4, parent: 3, kind: "rolled_back", restores: 2, table: two },
  ];
  const differs = (version: number) =>
    changedRows(DEFAULT_PARAMETERS, unlearnedTable(steps, version, DEFAULT_PARAMETERS))
      .map((c) => c.key)
      .sort();
  test("keeps what people set and takes out what was learned, through roll backs too", () => {
    expect(differs(0)).toEqual([]);
    expect(differs(1)).toEqual([key]);
    expect(differs(2)).toEqual([key]);
    expect(differs(3)).toEqual([key, "prior.detector_fault"].sort());
    expect(differs(4)).toEqual([key]);
  });
});

describe("learnFrom", () => {
  const stated = Object.fromEntries(CAUSES.map((c) => [c, 0.3])) as Record<Cause, number>;
  const outcome = (found: Cause[]): StatedOutcome => ({
    siteId: "S",
    found,
    lookedFor: ["egc_broken"],
    stated,
    statedWith: DEFAULT_PARAMETERS,
    basis: null,
  });
  test("learning again from the same outcomes changes nothing", () => {
    const outcomes = [outcome(["egc_broken"]), outcome(["egc_broken"]), outcome([])];
    const once = learnFrom(DEFAULT_PARAMETERS, DEFAULT_PARAMETERS, outcomes, []);
    expect(prior(once, "egc_broken")).toBeGreaterThan(prior(DEFAULT_PARAMETERS, "egc_broken"));
    expect(changedRows(once, learnFrom(once, DEFAULT_PARAMETERS, outcomes, []))).toEqual([]);
  });
  test("a cause nobody looked for keeps its row, and so does every row that is no base rate", () => {
    const learned = learnFrom(DEFAULT_PARAMETERS, DEFAULT_PARAMETERS, [outcome(["egc_broken"])], []);
    expect(changedRows(DEFAULT_PARAMETERS, learned).map((c) => c.key)).toEqual(["prior.egc_broken"]);
  });
  test("a statement made with a higher base rate teaches more from a find than the same one made with the present", () => {
    // 0.3 stated over a base rate of 0.2 is a weaker statement than 0.3 stated over 0.02.
    const higher = edited(DEFAULT_PARAMETERS, "prior.egc_broken", 0.2);
    const plain = learnFrom(DEFAULT_PARAMETERS, DEFAULT_PARAMETERS, [outcome(["egc_broken"])], []);
    const shifted = learnFrom(
      DEFAULT_PARAMETERS,
      DEFAULT_PARAMETERS,
      [{ ...outcome(["egc_broken"]), statedWith: higher }],
      [],
    );
    expect(prior(shifted, "egc_broken")).toBeGreaterThan(prior(plain, "egc_broken"));
  });
});
