import { describe, expect, test } from "vitest";
import { BONDING_CAUSES, type Coverage } from "../../lib/core/records.ts";
import { DEFAULT_LOSS_PARAMETERS } from "../../lib/coverage/loss-parameters.ts";
import { flatChances, siteTerms } from "../../lib/coverage/loss-terms.ts";
import { MOST_TERMS } from "../../lib/coverage/recovery.ts";
import { sampleCoverage } from "../support/loss-cases.ts";

const money = { accountCurrency: "USD", rates: new Map([["EUR", 1.25]]) };
const read = (rows: Partial<Coverage>[], siteCurrency: string | null = "USD") =>
  siteTerms(
    rows.map((row) => sampleCoverage(row)),
    { siteCurrency, today: "2026-11-01", money, chancesOf: flatChances(DEFAULT_LOSS_PARAMETERS) },
  );
const says = (found: ReturnType<typeof read>) => found.remarks.map((r) => r.says).join(" ");

describe("siteTerms", () => {
  test("a contract that is whole is counted as written, without a remark", () => {
    const { terms, remarks } = read([{}]);
    expect(remarks).toEqual([]);
    expect(terms[0]).toMatchObject({
      limit: 10_000,
      deductible: 500,
      from: 0,
      to: 1,
      yearLimit: null,
      claim: "repair",
    });
    expect(terms[0]?.chance).toBeCloseTo(0.7 * 0.5 * 0.9, 12);
  });

  test("an end before its start is said and not counted, and does not hide the others", () => {
    const found = read([{ startsOn: "2027-01-01", endsOn: "2026-01-01" }, { coverageId: "W2" }]);
    expect(found.terms.map((t) => t.coverageId)).toEqual(["W2"]);
    expect(found.remarks).toEqual([
      {
        coverageId: "W1",
        counted: false,
        says: expect.stringContaining("before it starts on 2027-01-01: correct the dates"),
      },
    ]);
  });

  test("a limit below its deductible is said and pays nothing until somebody has read it", () => {
    const found = read([{ limitAmount: 400 }]);
    expect(found.terms[0]?.limit).toBe(0);
    expect(says(found)).toContain("limit is below its deductible");
  });

  test("a missing currency is the site's, then the account's, and is said; one without a rate is not counted", () => {
    expect(read([{ currency: null }], "EUR").terms[0]).toMatchObject({ limit: 12_500, deductible: 625 });
    expect(says(read([{ currency: null }], null))).toContain("No currency is recorded: its sums are taken as USD");
    const foreign = read([{ currency: "CHF" }]);
    expect(foreign.terms).toEqual([]);
    expect(says(foreign)).toContain("no rate into USD: add the rate");
  });

  test("an unknown limit, deductible or basis is said; the basis is taken against the owner", () => {
    const found = read([
      { limitAmount: null, deductibleAmount: null },
      { coverageId: "W2", limitBasis: null },
    ]);
    expect(says(found)).toContain("No limit is recorded");
    expect(says(found)).toContain("No deductible is recorded");
    expect(found.terms[1]?.yearLimit).toBe(10_000);
    expect(says(found)).toContain("counted as one for the year");
  });

  test("overlapping contracts both count, and the later one is said to come second", () => {
    const found = read([
      { coverageId: "B", startsOn: "2022-01-01" },
      { coverageId: "A", startsOn: "2021-01-01" },
    ]);
    expect(found.terms.map((t) => t.coverageId)).toEqual(["A", "B"]);
    expect(found.remarks).toEqual([
      { coverageId: "B", counted: true, says: expect.stringContaining("beside A for the same loss") },
    ]);
  });

  test("exclusions take away what they name; one the model cannot weigh is said, never passed over", () => {
    const found = read([{ excludes: ["improper_grounding", "wear and tear"] }]);
    for (const cause of BONDING_CAUSES) expect(found.terms[0]?.causes).not.toContain(cause);
    expect(found.terms[0]?.causes).toContain("connector_ingress");
    expect(says(found)).toContain('excludes "wear and tear", which the model cannot weigh');
    const whole = read([{ excludes: ["Repair"] }]);
    expect(whole.terms).toEqual([]);
    expect(says(whole)).toContain("Repair");
  });

  test("a warranty that ran out, or one that starts after the defect, is named and not counted", () => {
    expect(says(read([{ endsOn: "2026-10-31" }]))).toContain("It ended on 2026-10-31 and is not counted");
    expect(read([{ endsOn: "2026-11-01" }]).terms).toHaveLength(1);
    expect(says(read([{ startsOn: "2027-01-01" }]))).toContain("would come before it");
    const insurance = read([{ kind: "property_insurance", startsOn: "2027-05-02", trigger: "claims_made" }]);
    expect(insurance.terms[0]?.from).toBeCloseTo(182 / 365.25, 6);
    expect(says(insurance)).toContain("claims made while it runs");
  });

  test("more contracts than can be weighed: the earliest count, each of the rest is named", () => {
    const found = read(Array.from({ length: MOST_TERMS + 2 }, (_, i) => ({ coverageId: `W${10 + i}` })));
    expect(found.terms).toHaveLength(MOST_TERMS);
    expect(found.remarks.filter((r) => !r.counted).map((r) => r.coverageId)).toEqual(["W22", "W23"]);
  });

  test("an unknown notice period never counts as met", () => {
    const [known, unknown] = read([{ coverageId: "a" }, { coverageId: "b", noticeDays: null }]).terms;
    expect(unknown?.chances.notice).toBeLessThan(known?.chances.notice ?? 0);
  });
});
