import { seededRng } from "../../lib/core/random.ts";
import { planRoutes } from "../../lib/dispatch/routes/plan-routes.ts";
import { brokenRules } from "../../lib/dispatch/routes/plan-validator.ts";
import type { RouteInstance } from "../../lib/dispatch/routes/route-instance.ts";
import { HighsSolver } from "../../lib/jobs/highs-solver.ts";
import { fleetInstance } from "../support/fleet-routes.ts";
import { chaoBestKnown, chaoInstance, chaoNames, solomonInstance } from "../support/routing-instances.ts";

// Run: node tests/bench/routes.ts [chao effort] [solomon effort] [own|published|all]

/** Published best known for one to four vehicles; recalled from the literature, tables not opened. */
const SOLOMON = { C101: [320, 590, 810, 1020], R101: [198, 349, 484, 611], RC101: [219, 427, 621, 811] };

const solver = new HighsSolver();

async function solved(instance: RouteInstance, effort: number, pricingRounds = 3) {
  const started = performance.now();
  const plan = await planRoutes(instance, {
    rng: seededRng("routes"),
    effort,
    solver,
    pricingRounds,
    pricingNodes: 20_000,
    choiceNodes: 30,
  });
  const { routes } = plan;
  const seconds = (performance.now() - started) / 1000;
  const broken = brokenRules(instance, routes);
  if (broken.length > 0) throw new Error(broken.join("; "));
  return { value: plan.objective, bound: plan.bound, gap: plan.gap, seconds };
}

const chaoEffort = Number(process.argv[2] ?? 3000);
const solomonEffort = Number(process.argv[3] ?? 3000);
const best = chaoBestKnown();
let gaps = 0;
let above = 0;
let exact = 0;
let seconds = 0;
const part = process.argv[4] ?? "all";
const names = part === "own" ? [] : chaoNames();
for (const name of names) {
  const found = await solved(chaoInstance(name), chaoEffort);
  const known = best.get(name) ?? 0;
  const gap = known > 0 ? (known - found.value) / known : 0;
  gaps += gap;
  seconds += found.seconds;
  if (found.value > known + 1e-6) above++;
  if (Math.abs(found.value - known) < 1e-6) exact++;
  else process.stdout.write(`${name} found ${found.value} best known ${known} gap ${(100 * gap).toFixed(2)} %\n`);
}
if (names.length > 0)
  process.stdout.write(
    `${names.length} team orienteering instances: mean gap ${((100 * gaps) / names.length).toFixed(3)} %, equal ${exact}, above ${above}, ${seconds.toFixed(1)} s in all\n`,
  );
for (const [name, values] of part === "own" ? [] : Object.entries(SOLOMON)) {
  for (const [index, known] of values.entries()) {
    const found = await solved(solomonInstance(name, index + 1), solomonEffort);
    process.stdout.write(
      `${name} m=${index + 1} found ${found.value} best known ${known} in ${found.seconds.toFixed(1)} s\n`,
    );
  }
}
for (const sites of part === "published" ? [] : [120, 250, 500]) {
  const found = await solved(fleetInstance(seededRng(`fleet-${sites}`), sites, 5, 5), 300, 4);
  process.stdout.write(
    `${sites} sites x 5 crews x 5 days: ${found.value.toFixed(1)}, bound ${found.bound?.toFixed(1)}, gap ${((found.gap ?? 1) * 100).toFixed(2)} % in ${found.seconds.toFixed(1)} s\n`,
  );
}
await solver.close();
