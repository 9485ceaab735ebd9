import { describe, expect, test } from "vitest";
import { normalDeviate, poissonDeviate, seededRng } from "../../lib/core/random.ts";
import { BONDING_CAUSES, CAUSES } from "../../lib/core/records.ts";
import { logit } from "../../lib/core/statistics.ts";
import { CONFIGURATIONS, MEMBERS } from "../../lib/diagnose/configurations.ts";
import { type EventBasis, packLogWeights, unpackLogWeights } from "../../lib/diagnose/event-basis.ts";
import { countLikelihood, eventRates } from "../../lib/diagnose/event-likelihood.ts";
import { type CountedOutcome, learnRates } from "../../lib/diagnose/learn-rates.ts";
import { DEFAULT_PARAMETERS, type ParameterTable, parameter, valuesOf } from "../../lib/diagnose/parameters.ts";

const HOURS = [3000, 600, 700, 500, 40];
const prior = Float64Array.from(MEMBERS, (members) =>
  members.reduce((sum, c) => sum + logit(parameter(valuesOf(DEFAULT_PARAMETERS), `prior.${CAUSES[c]}`)), 0),
);

const basisOf = (onsets: number[]): EventBasis => ({
  units: 1,
  detector: 1,
  overdispersion: 1,
  phases: [{ unitHours: HOURS, onsets, certain: [] }],
  elsewhere: prior,
});

/**
 * Sites drawn from the table itself, but that water in connectors trips `factor` times as often: each cause by its base
 * rate, a severity and a background of the site's own, silent bonding defects, Poisson onsets.
 */
function world(factor: number, sites: number, seed: string): CountedOutcome[] {
  const values = valuesOf(DEFAULT_PARAMETERS);
  const rng = seededRng(seed);
  const states = ["dry", "hot", "rain", "dew", "thunder"];
  return Array.from({ length: sites }, () => {
    const found = CAUSES.filter((c) => rng() < parameter(values, `prior.${c}`));
    const severity = Math.exp(parameter(values, "severity.spread") * normalDeviate(rng));
    const background = Math.exp(parameter(values, "background.spread") * normalDeviate(rng));
    const silent = rng() < parameter(values, "silent.bonding");
    const onsets = states.map((state, j) => {
      let rate = background * parameter(values, `rate.background.${state}`);
      for (const c of found) {
        if (silent && (BONDING_CAUSES as readonly string[]).includes(c)) continue;
        rate += severity * (c === "connector_ingress" ? factor : 1) * parameter(values, `rate.${c}.${state}`);
      }
      return poissonDeviate(rng, (rate * (HOURS[j] as number)) / 1000);
    });
    return { outcome: { found, lookedFor: [...CAUSES] }, basis: basisOf(onsets) };
  });
}

const valueIn = (rows: ReturnType<typeof learnRates>, key: string) => rows.find((row) => row.key === key)?.value;
const startOf = (key: string) => parameter(valuesOf(DEFAULT_PARAMETERS), key);

describe("learnRates", () => {
  test("learns nothing without an outcome, and nothing from visits at which nobody looked for anything", () => {
    expect(learnRates(DEFAULT_PARAMETERS, [])).toEqual([]);
    const blind = world(3, 5, "blind").map(({ basis }) => ({ basis, outcome: { found: [], lookedFor: [] } }));
    expect(learnRates(DEFAULT_PARAMETERS, blind)).toEqual([]);
  });

  test("moves towards the rate of a world that trips more, or less, often than the table says", () => {
    const key = "rate.connector_ingress.rain";
    const often = valueIn(learnRates(DEFAULT_PARAMETERS, world(4, 250, "often")), key) as number;
    const seldom = valueIn(learnRates(DEFAULT_PARAMETERS, world(0.25, 250, "seldom")), key) as number;
    expect(often).toBeGreaterThan(startOf(key));
    expect(seldom).toBeLessThan(startOf(key));
  });

  test("a row without spread stays, and what moved is known better than before", () => {
    const key = "rate.connector_ingress.rain";
    const rows = learnRates(DEFAULT_PARAMETERS, world(2, 80, "spread"));
    for (const row of rows) {
      const before = DEFAULT_PARAMETERS.rows.find((r) => r.key === row.key)?.spread as number;
      expect(row.spread).toBeLessThanOrEqual(before);
    }
    const held: ParameterTable = {
      version: "held",
      rows: DEFAULT_PARAMETERS.rows.map((row) => (row.key === key ? { ...row, spread: 0 } : row)),
    };
    expect(valueIn(learnRates(held, world(2, 80, "spread")), key)).toBeUndefined();
  });

  // Bayes' rule by hand over two configurations, with the likelihood that a diagnosis itself uses.
  test("outcomes become likelier with what was learned, by the likelihood that scores use", () => {
    const outcomes = world(2.5, 60, "likelier");
    const chance = (table: ParameterTable) =>
      outcomes.reduce((sum, { basis, outcome }) => {
        const rates = eventRates(valuesOf(table));
        const summary = {
          units: 1,
          recentEpisodes: 0,
          signature: null as never,
          phases: basis.phases.map((p) => ({
            unitHours: Float64Array.from(p.unitHours),
            onsets: Float64Array.from(p.onsets),
            signature: null as never,
            removedLater: [],
          })),
        };
        const log = countLikelihood(summary, rates, { presentBefore: 0.5, overdispersion: 1, detector: 1 });
        const bit = 1 << CAUSES.indexOf("connector_ingress");
        const weight = (k: number) => Math.exp((prior[k] as number) + (log[k] as number));
        const all = CONFIGURATIONS.reduce((s, _, k) => s + weight(k), 0);
        const has = CONFIGURATIONS.reduce((s, mask, k) => s + (mask & bit ? weight(k) : 0), 0) / all;
        return sum + Math.log(outcome.found.includes("connector_ingress") ? has : 1 - has);
      }, 0);
    const rows = new Map(learnRates(DEFAULT_PARAMETERS, outcomes).map((row) => [row.key, row]));
    const learned = { version: "learned", rows: DEFAULT_PARAMETERS.rows.map((row) => rows.get(row.key) ?? row) };
    expect(chance(learned)).toBeGreaterThan(chance(DEFAULT_PARAMETERS));
  });
});

describe("packLogWeights", () => {
  test("gives back each weight within an eighth of a nat of where it was below the largest, 176 bytes a site", () => {
    const logs = Float64Array.from(CONFIGURATIONS, (_, k) => -k / 7 + 3);
    const back = unpackLogWeights(packLogWeights(logs));
    expect(back).toHaveLength(176);
    back.forEach((x, k) => {
      expect(Math.abs(x - ((logs[k] as number) - 3))).toBeLessThanOrEqual(0.125 + 1e-12);
    });
  });
});
