import { describe, expect, test } from "vitest";
import { normalDeviate, seededRng } from "../../lib/core/random.ts";
import { CAUSES, type SiteRecords } from "../../lib/core/records.ts";
import { expit, logit, sampleQuantile } from "../../lib/core/statistics.ts";
import type { SiteCorrelation } from "../../lib/correlate/site-correlation.ts";
import { EVERY_CONFIGURATION } from "../../lib/diagnose/configurations.ts";
import { configurationsThatMatter, drawnProbabilities } from "../../lib/diagnose/drawn-belief.ts";
import { type DrawnTable, drawnTables } from "../../lib/diagnose/drawn-tables.ts";
import { eventRates } from "../../lib/diagnose/event-likelihood.ts";
import { findingSteps, settledSteps } from "../../lib/diagnose/evidence-steps.ts";
import { DEFAULT_PARAMETERS, drawValues, valuesOf } from "../../lib/diagnose/parameters.ts";
import { band, normalised, sumOf } from "../../lib/diagnose/posterior.ts";
import { prepare } from "../../lib/diagnose/prepared-site.ts";
import { baseLogOdds } from "../../lib/diagnose/prior.ts";
import { BAND_DRAWS } from "../../lib/jobs/score-site.ts";
import { AS_OF, check, correlation, many, plain, twoSections } from "../support/diagnosis-cases.ts";

const SETS = 24;
const PLAIN_DRAWS = 60;
const VALUES = valuesOf(DEFAULT_PARAMETERS);

/** Tables drawn one by one, each row by itself. */
const PLAIN: DrawnTable[] = Array.from({ length: SETS * PLAIN_DRAWS }, (_, i) => {
  const rng = seededRng(`plain/${i}`);
  const values = drawValues(DEFAULT_PARAMETERS, rng);
  return {
    values,
    rates: eventRates(values),
    base: baseLogOdds(values),
    sharedSteps: Float64Array.from(CAUSES, () => normalDeviate(rng)),
  };
});
const SHARED_OUT = Array.from({ length: SETS }, (_, k) => drawnTables(DEFAULT_PARAMETERS, BAND_DRAWS, `set/${k}`));

/** Log odds of a bonding defect at a site as a function of the table. */
function believedOf(records: SiteRecords, c: SiteCorrelation): (table: DrawnTable) => number {
  const prepared = prepare({ records, correlation: c, asOf: AS_OF }, VALUES);
  const steps = [...settledSteps(prepared, VALUES), ...findingSteps(prepared, VALUES)];
  const matter = configurationsThatMatter(normalised(sumOf(steps.map((s) => s.log)), EVERY_CONFIGURATION));
  return (table) => drawnProbabilities(prepared, table, matter).bonding;
}

describe("tables of a band", () => {
  test("take every part of a row's spread once, leave what is fixed, and are the same each time", () => {
    const tables = drawnTables(DEFAULT_PARAMETERS, BAND_DRAWS);
    for (const row of DEFAULT_PARAMETERS.rows) {
      const values = tables.map((t) => t.values.get(row.key) as number);
      if (row.fixed || row.spread === 0) for (const value of values) expect(value, row.key).toBeCloseTo(row.value, 12);
      else expect(new Set(values).size, row.key).toBe(BAND_DRAWS);
    }
    const prior = tables.map((t) => logit(t.values.get("prior.egc_broken") as number));
    const row = DEFAULT_PARAMETERS.rows.find((r) => r.key === "prior.egc_broken");
    const steps = prior.map((x) => (x - logit(row?.value ?? 0)) / (row?.spread ?? 0));
    // A standard normal has mean 0 and variance 1.
    expect(steps.reduce((a, b) => a + b, 0)).toBeCloseTo(0, 9);
    expect(steps.reduce((a, b) => a + b * b, 0) / (BAND_DRAWS - 1)).toBeCloseTo(1, 9);
    expect(drawnTables({ ...DEFAULT_PARAMETERS }, BAND_DRAWS).map((t) => [...t.values])).toEqual(
      tables.map((t) => [...t.values]),
    );
  });

  test(`${BAND_DRAWS} of them tell the ends of a band as well as ${PLAIN_DRAWS} plain draws that are sorted`, () => {
    const cases: [SiteRecords, SiteCorrelation][] = [
      [plain(), correlation([])],
      [twoSections(), correlation(many(12, "rain"))],
      [twoSections("bus"), correlation([...many(5, "dew"), ...many(4, "dry", {}, 20)])],
      [{ ...twoSections(), inspections: [check("section_jumper", "fail")] }, correlation(many(3, "rain"))],
    ];
    let [sorted, shared] = [0, 0];
    for (const [records, c] of cases) {
      const believed = believedOf(records, c);
      const all = PLAIN.map(believed).map(logit);
      const mean = all.reduce((a, b) => a + b, 0) / all.length;
      const sd = Math.sqrt(all.reduce((a, b) => a + (b - mean) ** 2, 0) / all.length);
      const truth = [sampleQuantile(all, 0.05), sampleQuantile(all, 0.95)] as const;
      const off = (low: number, high: number) => ((low - truth[0]) / sd) ** 2 + ((high - truth[1]) / sd) ** 2;
      for (let k = 0; k < SETS; k++) {
        const own = all.slice(k * PLAIN_DRAWS, (k + 1) * PLAIN_DRAWS);
        sorted += off(sampleQuantile(own, 0.05), sampleQuantile(own, 0.95));
        const { low, high } = band(expit(mean), (SHARED_OUT[k] as readonly DrawnTable[]).map(believed));
        shared += off(logit(low), logit(high));
      }
    }
    const errorOf = (squares: number) => Math.sqrt(squares / (2 * SETS * cases.length));
    console.log(
      `ends of a band, error in sd: sorted ${errorOf(sorted).toFixed(3)}, shared out ${errorOf(shared).toFixed(3)}`,
    );
    expect(errorOf(shared)).toBeLessThan(1.1 * errorOf(sorted));
    expect(errorOf(shared)).toBeLessThan(0.34);
  });
});

describe("band", () => {
  test("is mean and 1.645 spreads of the log odds, with the point inside", () => {
    const at = (x: number) => 1 / (1 + Math.exp(-x));
    // Log odds -1, 0 and 1: mean 0, spread 1; the normal quantile of 95 % is 1.6449 (handbook table).
    const { low, high } = band(0.5, [at(-1), at(0), at(1)]);
    expect(logit(low)).toBeCloseTo(-1.6449, 4);
    expect(logit(high)).toBeCloseTo(1.6449, 4);
    expect(band(0.99, [at(-1), at(0), at(1)]).high).toBe(0.99);
    expect(band(0.3, [])).toEqual({ p: 0.3, low: 0.3, high: 0.3 });
  });

  test("sorts the draws where one of them is certain", () => {
    const draws = Array.from({ length: 21 }, (_, i) => i / 20);
    const { low, high } = band(0.5, draws);
    expect([low, high]).toEqual([0.05, 0.95]);
  });
});
