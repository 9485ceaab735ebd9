import { mkdtempSync, rmSync } from "node:fs";
import path from "node:path";
import { demoDrop } from "../../seed/drop.ts";
import { DEMO, makeWorld, type WorldOptions } from "../../seed/world.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { AppError } from "../core/app-error.ts";
import { readyDatabase } from "../jobs/ready.ts";
import { refreshScores } from "../jobs/refresh-scores.ts";
import { LOCAL_ACTOR } from "../store/actor.ts";
import { ensureDataFolder } from "../store/data-folder.ts";
import { readTransaction } from "../store/transaction.ts";
import { keyName, keysOfAccount, markDemo } from "../writes/demo-mark.ts";
import { DEMO_NAME } from "../writes/demo-name.ts";
import { anybodySignsIn, makeDemoPeople } from "../writes/demo-people.ts";
import { importPaths } from "../writes/import-paths.ts";
import { readArguments } from "./read-arguments.ts";

/** Whether the account has no site yet. */
export async function fleetIsEmpty(): Promise<boolean> {
  const rows = await readTransaction(LOCAL_ACTOR, (tx) => tx`SELECT 1 FROM site LIMIT 1`);
  return rows.length === 0;
}

/** Whether what is in the account began as the demo. */
export async function holdsDemo(): Promise<boolean> {
  const rows = await readTransaction(
    LOCAL_ACTOR,
    (tx) => tx`SELECT 1 FROM import_drop WHERE name = ${DEMO_NAME} AND status = 'done' LIMIT 1`,
  );
  return rows.length > 0;
}

/** Make the demo's drop, import it like anybody's, and score it. */
export async function loadDemo(say: (line: string) => void, world: WorldOptions = DEMO): Promise<void> {
  const folder = mkdtempSync(path.join(ensureDataFolder(), "demo-"));
  try {
    await writeDemoDrop(folder, world);
    const before = await keysOfAccount(LOCAL_ACTOR);
    const result = await importPaths(LOCAL_ACTOR, [folder], { name: DEMO_NAME });
    await markDemo(LOCAL_ACTOR, before);
    const rows = result.files.reduce((sum, f) => sum + f.rows, 0);
    say(`demo: ${rows.toLocaleString("en-US")} rows imported; scoring …`);
    // Anybody may act as these people: they are for machines on which nobody has a name yet.
    if (!(await anybodySignsIn(LOCAL_ACTOR))) await makeDemoPeople(LOCAL_ACTOR);
    const scored = await refreshScores(LOCAL_ACTOR, { now: Date.now() });
    say(`demo: ${scored.scored} sites scored`);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** What names the records of the demo, by the columns that hold it. */
const NAMED = [
  ["sites.csv", "site", "site_id"],
  ["sites.csv", "portfolio", "portfolio"],
  ["stations.csv", "station", "station_id"],
  ["crews.csv", "crew", "crew_id"],
  ["codes.csv", "code_system", "code_system"],
] as const;

/**
 * Mark a demo that was loaded by a release that did not yet mark what came with it, by making its names anew.
 * @returns how many sites were marked
 * @throws AppError `wrong_use` when no demo was loaded here, or it is marked already
 */
export async function markEarlierDemo(world: WorldOptions = DEMO): Promise<number> {
  if (!(await holdsDemo()))
    throw new AppError("wrong_use", { message: "No demo was loaded here, so nothing was marked." });
  const files = demoDrop(makeWorld(world));
  const brought = new Set(await demoImports());
  const sites = new Set<string>();
  for (const [name, kind, column] of NAMED) {
    const file = files.find((f) => f.file === name);
    const at = file?.header.indexOf(column) ?? -1;
    for (const row of file?.rows() ?? []) {
      brought.add(keyName({ kind, id: String(row[at]) }));
      if (kind === "site") sites.add(keyName({ kind, id: String(row[at]) }));
    }
  }
  const all = await keysOfAccount(LOCAL_ACTOR);
  await markDemo(LOCAL_ACTOR, new Set([...all].filter((key) => !brought.has(key))));
  return [...sites].filter((key) => all.has(key)).length;
}

async function demoImports(): Promise<string[]> {
  const rows = await readTransaction(
    LOCAL_ACTOR,
    (tx) => tx<{ import_id: string }[]>`SELECT import_id FROM import_drop WHERE name = ${DEMO_NAME}`,
  );
  return rows.map((row) => keyName({ kind: "import", id: row.import_id }));
}

export async function demoCommand(args: string[]): Promise<number> {
  const { values } = readArguments({ args, options: { mark: { type: "boolean" } } });
  await readyDatabase();
  if (values.mark) {
    const sites = await markEarlierDemo();
    process.stderr.write(
      `raintrip: ${sites} sites of the demo are marked; an administrator removes it on the page /begin\n`,
    );
    return 0;
  }
  await loadDemo((line) => process.stderr.write(`raintrip: ${line}\n`));
  return 0;
}
