import os from "node:os";
import { parseArgs } from "node:util";
import { seededRng } from "../../lib/core/random.ts";
import { planEffort } from "../../lib/dispatch/routes/plan-effort.ts";
import { planRoutes } from "../../lib/dispatch/routes/plan-routes.ts";
import { brokenRules } from "../../lib/dispatch/routes/plan-validator.ts";
import { type RouteInstance, routesValue } from "../../lib/dispatch/routes/route-instance.ts";
import { searchRoutes } from "../../lib/dispatch/routes/search-routes.ts";
import { HighsSolver } from "../../lib/jobs/highs-solver.ts";
import { fleetInstance } from "../support/fleet-routes.ts";
import { chaoBestKnown, chaoInstance, chaoNames, solomonInstance } from "../support/routing-instances.ts";

// Run: npm run bench -- routes [own] [regions] [chao] [solomon] [--effort N] [--published-effort N]
// Seconds of a core are those of the process, both threads; the wall's say little on a machine that others use too.

/** Published best known for one to four vehicles; recalled from the literature, tables not opened. */
const SOLOMON = { C101: [320, 590, 810, 1020], R101: [198, 349, 484, 611], RC101: [219, 427, 621, 811] };
const PARTS = ["own", "regions", "chao", "solomon"];

const { values, positionals } = parseArgs({
  options: {
    effort: { type: "string", default: "400" },
    "published-effort": { type: "string", default: "3000" },
  },
  allowPositionals: true,
});
const parts = positionals.length > 0 ? positionals : PARTS;
const unknown = parts.filter((part) => !PARTS.includes(part));
if (unknown.length > 0) throw new Error(`No such part: ${unknown.join(", ")}; there are ${PARTS.join(", ")}`);

const cpuSeconds = () => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1e6;
};

/** Seconds of a core for shortest ways between 400 places: how fast this machine is just now. */
function baselineSeconds(): number {
  const size = 400;
  const rng = seededRng("baseline");
  const ways = Float64Array.from({ length: size * size }, () => 1 + 99 * rng());
  const begun = cpuSeconds();
  for (let k = 0; k < size; k++)
    for (let i = 0; i < size; i++)
      for (let j = 0; j < size; j++) {
        const through = (ways[i * size + k] as number) + (ways[k * size + j] as number);
        if (through < (ways[i * size + j] as number)) ways[i * size + j] = through;
      }
  return cpuSeconds() - begun;
}

const solver = new HighsSolver();

async function solved(instance: RouteInstance, effort: number) {
  const [begun, begunCpu] = [performance.now(), cpuSeconds()];
  const told: { cpu: number; value: number }[] = [];
  const plan = await planRoutes(instance, {
    ...planEffort(effort),
    rng: seededRng("routes"),
    solver,
    onBetter: (_, value) => told.push({ cpu: cpuSeconds() - begunCpu, value }),
  });
  const broken = brokenRules(instance, plan.routes);
  if (broken.length > 0) throw new Error(broken.join("; "));
  return { ...plan, seconds: (performance.now() - begun) / 1000, cpu: cpuSeconds() - begunCpu, told };
}

const say = (line: string) => process.stdout.write(`${line}\n`);
const pct = (share: number | null | undefined) => (share == null ? "none" : `${(100 * share).toFixed(2)} %`);

async function own(sites: number, crews: number, sideKm: number): Promise<void> {
  const instance = fleetInstance(seededRng(`fleet-${sites}`), sites, crews, 5, sideKm);
  const plain = searchRoutes(instance, { rng: seededRng("routes"), effort: 0 });
  const base = baselineSeconds();
  const found = await solved(instance, Number(values.effort));
  const soon = found.told.filter(({ cpu }) => cpu <= 10).reduce((best, { value }) => Math.max(best, value), 0);
  const first = found.told[0]?.cpu ?? found.cpu;
  say(
    [
      `${sites} sites x ${crews} crews x 5 days`,
      `value ${found.objective.toFixed(1)} (${(found.objective / routesValue(instance, plain)).toFixed(3)} of plain insertion)`,
      `bound ${found.bound?.toFixed(1)}, proven gap ${pct(found.gap)}`,
      `first plan after ${first.toFixed(1)} s, after 10 s ${pct(found.bound ? 1 - soon / found.bound : null)} below the bound`,
      `${found.cpu.toFixed(1)} s of a core, ${(found.cpu / base).toFixed(0)} times the baseline of ${base.toFixed(2)} s, ${found.seconds.toFixed(1)} s by the clock`,
    ].join("\n    "),
  );
}

async function chao(): Promise<void> {
  const best = chaoBestKnown();
  const tally = { gaps: 0, above: 0, exact: 0, cpu: 0 };
  const names = chaoNames();
  for (const name of names) {
    const found = await solved(chaoInstance(name), Number(values["published-effort"]));
    const known = best.get(name) ?? 0;
    const gap = known > 0 ? (known - found.objective) / known : 0;
    tally.gaps += gap;
    tally.cpu += found.cpu;
    if (found.objective > known + 1e-6) tally.above++;
    if (Math.abs(found.objective - known) < 1e-6) tally.exact++;
    else say(`${name} found ${found.objective}, best known ${known}, gap ${pct(gap)}`);
  }
  say(
    `${names.length} team orienteering instances: mean gap ${((100 * tally.gaps) / names.length).toFixed(3)} %, equal ${tally.exact}, above ${tally.above}, ${tally.cpu.toFixed(0)} s of a core in all`,
  );
}

async function solomon(): Promise<void> {
  let equal = 0;
  for (const [name, known] of Object.entries(SOLOMON)) {
    for (const [index, value] of known.entries()) {
      const found = await solved(solomonInstance(name, index + 1), Number(values["published-effort"]));
      if (Math.abs(found.objective - value) < 1e-6) equal++;
      say(`${name} m=${index + 1}: found ${found.objective}, best known ${value}, ${found.cpu.toFixed(1)} s of a core`);
    }
  }
  say(`${equal} of 12 best known values`);
}

try {
  if (parts.includes("own")) for (const sites of [120, 250, 500]) await own(sites, 5, 200);
  if (parts.includes("regions")) await own(2000, 20, 400);
  if (parts.includes("solomon")) await solomon();
  if (parts.includes("chao")) await chao();
  say(`Load of this machine over the last minute: ${os.loadavg()[0]?.toFixed(1)} on ${os.cpus().length} cores.`);
} finally {
  await solver.close();
}
