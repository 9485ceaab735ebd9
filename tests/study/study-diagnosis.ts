import { parseArgs } from "node:util";
import { diagnose } from "../../lib/diagnose/diagnose.ts";
import { DEFAULT_PARAMETERS } from "../../lib/diagnose/parameters.ts";
import { type DiagnosisFigures, diagnosisFigures } from "./diagnosis-figures.ts";
import { studyCases } from "./study-world.ts";

/** `--seed N --sites N`: how good the diagnosis is on worlds whose truth is known. */
export function studyDiagnosis(args: readonly string[]): void {
  const { values } = parseArgs({
    args: [...args],
    options: { seed: { type: "string", default: "1" }, sites: { type: "string", default: "2000" } },
  });
  const sites = Number(values.sites);
  if (!Number.isInteger(sites) || sites < 100) throw new RangeError("--sites requires a whole number of 100 or more");
  print(diagnosisFigures(values.seed, sites));
  printTimes(values.seed);
}

const n3 = (x: number) => x.toFixed(3);
const n4 = (x: number) => x.toFixed(4);
const out = (line: string) => process.stdout.write(`${line}\n`);

function print(f: DiagnosisFigures): void {
  out(
    `${f.sites} sites, ${(100 * f.prevalence).toFixed(1)} % with a bonding-family defect; baselines were given ${f.labels} labels`,
  );
  out(`${"".padEnd(36)}${"AUC".padEnd(17)}${"Brier".padEnd(19)}log loss`);
  for (const s of f.scores)
    out(
      `${s.name.padEnd(36)}${`${n3(s.auc)} ± ${n3(s.aucSd)}`.padEnd(17)}${`${n4(s.brier)} ± ${n4(s.brierSd)}`.padEnd(19)}${n4(s.log)} ± ${n4(s.logSd)}`,
    );
  out(`log loss above the all-feature fit: ${n4(f.excess.mean)} ± ${n4(f.excess.sd)} (target at most 0.01)`);
  out(
    `calibration slope: ${f.slope ? `${n3(f.slope.value)} ± ${n3(f.slope.sd)}` : "not to be had"} (target 0.9 to 1.1)`,
  );
  for (const b of f.bins)
    out(
      `  ${b.from.toFixed(1)}-${b.to.toFixed(1)}  n ${String(b.trials).padStart(5)}  stated ${b.stated === null ? "-" : n3(b.stated)}  found ${b.found === null ? "-" : n3(b.found)}  99 % ${n3(b.low)} to ${n3(b.high)}${b.agrees === false ? "  OUTSIDE" : ""}`,
    );
  const { share, sd, width } = f.coverage;
  out(
    `90 % band holds the fully informed posterior at ${(100 * share).toFixed(1)} ± ${(100 * sd).toFixed(1)} % of sites, mean width ${n3(width)}`,
  );
}

/** Milliseconds a site on one core, without and with a band of 60 draws; and how many plain passes the band costs. */
function printTimes(seed: string): void {
  const cases = studyCases(`${seed}/times`, 200);
  const pass = (draws: number) => {
    const start = performance.now();
    for (const { input } of cases) diagnose(input, DEFAULT_PARAMETERS, { draws });
    return (performance.now() - start) / cases.length;
  };
  pass(60);
  const plain = Math.min(pass(0), pass(0), pass(0));
  const band = Math.min(pass(60), pass(60));
  out(
    `time a site: posterior ${plain.toFixed(2)} ms, with its band ${band.toFixed(2)} ms (${(band / plain).toFixed(1)} plain passes)`,
  );
}
