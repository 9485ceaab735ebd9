/** One size of the fleet, in a process and a database of its own; `fleet.ts` starts it. */
import { parseArgs } from "node:util";
import { shutDatabase } from "../../../lib/store/database.ts";
import type { Figure } from "../measure.ts";
import { digestFigures } from "./digest-part.ts";
import { fillStandings } from "./fill-standings.ts";
import { framesFigures, mapFigures } from "./frames-part.ts";
import { importFigures } from "./import-part.ts";
import { madeFleet } from "./made-fleet.ts";
import { scoreFigures } from "./score-part.ts";
import { faultFigures, pageFigures } from "./serve-parts.ts";
import { workersFigures } from "./workers-part.ts";

const { values } = parseArgs({
  options: {
    sites: { type: "string", default: "200" },
    years: { type: "string", default: "5" },
    repeats: { type: "string", default: "3" },
    parts: { type: "string", default: "import,score" },
    processes: { type: "string", default: "1,2,4" },
  },
});
const say = (line: string) => process.stderr.write(`${line}\n`);
const repeats = Number(values.repeats);
const parts = values.parts.split(",");
const fleet = await madeFleet(Number(values.sites), Number(values.years), say);
const figures: Figure[] = [];
const [there] = await fleet.admin<{ n: number }[]>`SELECT count(*)::int AS n FROM (SELECT FROM fault LIMIT 1) f`;
// Everything after the import needs its rows.
if (parts.includes("import") || there?.n === 0)
  figures.push(...(await importFigures(fleet, parts.includes("import") ? repeats : 1)));
if (parts.includes("score")) figures.push(...(await scoreFigures(fleet, repeats)));
if (parts.includes("digest")) figures.push(...(await digestFigures(fleet)));
if (parts.includes("fill")) figures.push(...(await fillStandings(fleet)));
if (parts.includes("workers"))
  figures.push(...(await workersFigures(fleet, repeats, values.processes.split(",").map(Number))));
if (parts.includes("pages")) figures.push(...(await pageFigures(fleet)));
if (parts.includes("map")) figures.push(...(await mapFigures(fleet)));
if (parts.includes("frames")) figures.push(...(await framesFigures(fleet)));
if (parts.includes("fault")) figures.push(...(await faultFigures(fleet, repeats, false)));
if (parts.includes("busy-fault")) figures.push(...(await faultFigures(fleet, repeats, true)));
process.stdout.write(`${JSON.stringify(figures)}\n`);
await fleet.admin.end();
await shutDatabase();
process.exit(0);
