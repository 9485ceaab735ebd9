import { seededRng } from "../../lib/core/random.ts";
import { brokenRules } from "../../lib/dispatch/routes/plan-validator.ts";
import { type RouteInstance, routesValue } from "../../lib/dispatch/routes/route-instance.ts";
import { searchRoutes } from "../../lib/dispatch/routes/search-routes.ts";
import { chaoBestKnown, chaoInstance, chaoNames, solomonInstance } from "../support/routing-instances.ts";

// Run: node tests/bench/routes.ts [chao effort] [solomon effort]

/** Published best known for one to four vehicles; recalled from the literature, tables not opened. */
const SOLOMON = { C101: [320, 590, 810, 1020], R101: [198, 349, 484, 611], RC101: [219, 427, 621, 811] };

function solved(instance: RouteInstance, effort: number): { value: number; seconds: number } {
  const started = performance.now();
  const routes = searchRoutes(instance, { rng: seededRng("routes"), effort });
  const seconds = (performance.now() - started) / 1000;
  const broken = brokenRules(instance, routes);
  if (broken.length > 0) throw new Error(broken.join("; "));
  return { value: routesValue(instance, routes), seconds };
}

const chaoEffort = Number(process.argv[2] ?? 3000);
const solomonEffort = Number(process.argv[3] ?? 3000);
const best = chaoBestKnown();
let gaps = 0;
let above = 0;
let exact = 0;
let seconds = 0;
const names = chaoNames();
for (const name of names) {
  const found = solved(chaoInstance(name), chaoEffort);
  const known = best.get(name) ?? 0;
  const gap = known > 0 ? (known - found.value) / known : 0;
  gaps += gap;
  seconds += found.seconds;
  if (found.value > known + 1e-6) above++;
  if (Math.abs(found.value - known) < 1e-6) exact++;
  else process.stdout.write(`${name} found ${found.value} best known ${known} gap ${(100 * gap).toFixed(2)} %\n`);
}
process.stdout.write(
  `${names.length} team orienteering instances: mean gap ${((100 * gaps) / names.length).toFixed(3)} %, equal ${exact}, above ${above}, ${seconds.toFixed(1)} s in all\n`,
);
for (const [name, values] of Object.entries(SOLOMON)) {
  values.forEach((known, index) => {
    const found = solved(solomonInstance(name, index + 1), solomonEffort);
    process.stdout.write(
      `${name} m=${index + 1} found ${found.value} best known ${known} in ${found.seconds.toFixed(1)} s\n`,
    );
  });
}
