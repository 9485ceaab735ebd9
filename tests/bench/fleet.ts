/**
 * `npm run bench -- fleet --sites 200,2000`: import, scores and pages of a whole fleet, each as a ratio to a bare pass over
 * the same rows in the same run. Options: --sites LIST (200) --years Y (5) --repeats R (3) --parts LIST (import,score)
 * --processes LIST (1,2,4: of the part workers)
 * --data FOLDER (a new one, removed at the end; a folder that is named stays and is used again).
 */
import { spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { parseArgs } from "node:util";
import { WORKING_NODE } from "../../lib/cli/working-node.ts";
import { type Figure, keepRun, tableOf } from "./measure.ts";

const { values } = parseArgs({
  options: {
    sites: { type: "string", default: "200" },
    years: { type: "string", default: "5" },
    repeats: { type: "string", default: "3" },
    parts: { type: "string", default: "import,score" },
    processes: { type: "string", default: "1,2,4" },
    data: { type: "string" },
    profile: { type: "boolean" },
  },
});
const folder = values.data ?? mkdtempSync(path.join(os.tmpdir(), "raintrip-bench-"));
mkdirSync(folder, { recursive: true });
let failed = false;
for (const sites of values.sites.split(",")) {
  const { DATABASE_URL: _, ...env } = process.env;
  const done = spawnSync(
    process.execPath,
    [
      ...WORKING_NODE,
      ...(values.profile ? ["--cpu-prof", `--cpu-prof-dir=${folder}`] : []),
      path.join(import.meta.dirname, "fleet", "size.ts"),
      ...["--sites", sites, "--years", values.years, "--repeats", values.repeats, "--parts", values.parts],
      ...["--processes", values.processes],
    ],
    {
      env: { ...env, RAINTRIP_DATA: path.join(folder, sites) },
      stdio: ["ignore", "pipe", "inherit"],
      encoding: "utf8",
      maxBuffer: 1e8,
    },
  );
  if (done.status !== 0) {
    failed = true;
    process.stderr.write(`${sites} sites: ended with ${done.status ?? done.signal}\n`);
    continue;
  }
  const figures = JSON.parse(done.stdout) as Figure[];
  console.log(`\n${sites} sites, ${values.years} years`);
  console.log(tableOf(figures));
  console.log(`kept in ${path.relative(process.cwd(), keepRun(`fleet-${sites}`, values, figures))}`);
}
if (!values.data) rmSync(folder, { recursive: true, force: true });
process.exit(failed ? 1 : 0);
