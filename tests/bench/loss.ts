/**
 * `npm run bench:loss`: what drawing years of loss costs, as a ratio to a plain pass that only draws as many uniform
 * numbers. Processor time of one core, so that a busy machine does not count. Options: --sites N (2000) --years N (5000)
 * --repeats R (3).
 */
import { parseArgs } from "node:util";
import { seededRng } from "../../lib/core/random.ts";
import { CAUSES, type Cause } from "../../lib/core/records.ts";
import { lossDistribution } from "../../lib/coverage/loss-distribution.ts";
import { lossModel, type SiteToDraw } from "../../lib/coverage/loss-model.ts";
import { DEFAULT_LOSS_PARAMETERS } from "../../lib/coverage/loss-parameters.ts";
import { drawnYears, LossSimulation } from "../../lib/coverage/loss-simulation.ts";
import { table } from "../study/study-table.ts";
import { sampleTerm, siteToDraw } from "../support/loss-cases.ts";

const { values } = parseArgs({
  options: {
    sites: { type: "string", default: "2000" },
    years: { type: "string", default: "5000" },
    repeats: { type: "string", default: "3" },
  },
});
const years = Number(values.years);
const rng = seededRng("bench");
/** Every cause at every site, a warranty and a property policy each: a third of the site-years have a defect. */
const sites: SiteToDraw[] = Array.from({ length: Number(values.sites) }, (_, i) => {
  const terms = [
    sampleTerm({
      coverageId: `W${i}`,
      chance: 0.3,
      limit: 25_000,
      deductible: 500,
      policy: `W${i}`,
      yearLimit: 25_000,
    }),
    sampleTerm({ coverageId: `P${i}`, claim: "property", chance: 0.3, deductible: 2500, policy: `P${i}` }),
  ];
  const base = siteToDraw(`S${i}`, 0, { terms, book: `book ${i % 3}`, installer: `I${i % 40}`, batch: `H${i % 25}` });
  const severities = CAUSES.map((cause) => ({
    cause,
    probability: 0.02 + 0.04 * rng(),
    repair: { mean: 900, spread: 0.8 },
    escalation: 0.1,
    propertyPerYear: 0.002,
    property: { mean: 50_000, spread: 1.2 },
    peoplePerYear: 0.0003,
    people: { mean: 3e6, spread: 1 },
    energy: 3,
  }));
  return { ...base, severities };
});
const shares = { sharedInstaller: 0.1, sharedBatch: 0.15 };
const third = Object.fromEntries(CAUSES.map((cause) => [cause, 0.3])) as Record<Cause, number>;
const stays = new Map(sites.slice(0, 12).map((s) => [s.siteId, third]));
const model = lossModel(sites, shares);
const withAlternative = lossModel(sites, shares, { stays, terms: new Map() });

let sink = 0;
const parts: Record<string, () => void> = {
  "plain pass: two uniform numbers a site-year": () => {
    const next = seededRng("plain");
    for (let i = 0; i < 2 * sites.length * years; i++) sink += next();
  },
  "years of loss": () => {
    const into = drawnYears(model, years);
    new LossSimulation(model, "bench").run(into, 0, years);
    sink += into.net[0] as number;
  },
  "years of loss, with an alternative beside them": () => {
    const into = drawnYears(withAlternative, years);
    new LossSimulation(withAlternative, "bench").run(into, 0, years);
    sink += into.netThen[0] as number;
  },
  "whole distribution: tails, errors, parts of sites": () => {
    sink += lossDistribution(model, { seed: "bench", years, params: DEFAULT_LOSS_PARAMETERS }).whole.net.value;
  },
};

function seconds(run: () => void): number[] {
  return Array.from({ length: Number(values.repeats) }, () => {
    const start = process.cpuUsage();
    run();
    const { user, system } = process.cpuUsage(start);
    return (user + system) / 1e6;
  }).sort((a, b) => a - b);
}
const measured = Object.entries(parts).map(([name, run]) => ({ name, times: seconds(run) }));
const base = measured[0]?.times[0] as number;
const million = (sites.length * years) / 1e6;
console.log(`${million.toFixed(1)} million site-years${Number.isFinite(sink) ? "" : " (a result is not finite)"}`);
console.log(
  table(
    ["", "least, s of a core", "most, s", "s for 10 million", "ratio to plain"],
    measured.map(({ name, times }) => [
      name,
      (times[0] as number).toFixed(2),
      (times.at(-1) as number).toFixed(2),
      (((times[0] as number) * 10) / million).toFixed(2),
      ((times[0] as number) / base).toFixed(1),
    ]),
  ),
);
