import { parseArgs } from "node:util";
import { DEMO } from "./world.ts";
import { writeDemoDrop, writeTruth } from "./write-demo.ts";

const HELP = `npx tsx seed/main.ts --out FOLDER [--seed TEXT] [--sites N] [--days N] [--end YYYY-MM-DD]
Writes the drop of an invented fleet, and its truth beside the folder.
`;

const { values } = parseArgs({
  options: {
    out: { type: "string" },
    seed: { type: "string", default: DEMO.seed },
    sites: { type: "string", default: String(DEMO.sites) },
    days: { type: "string", default: String(DEMO.days) },
    end: { type: "string", default: DEMO.endDay },
    help: { type: "boolean" },
  },
});
if (values.help || !values.out) {
  process.stdout.write(HELP);
  process.exit(values.help ? 0 : 2);
}
const world = await writeDemoDrop(values.out, {
  seed: values.seed,
  sites: Number(values.sites),
  days: Number(values.days),
  endDay: values.end,
});
process.stdout.write(`${values.out} and ${writeTruth(values.out, world)}\n`);
