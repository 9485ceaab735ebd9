import { mkdtempSync, rmSync } from "node:fs";
import path from "node:path";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { readyDatabase } from "../jobs/ready.ts";
import { refreshScores } from "../jobs/refresh-scores.ts";
import { LOCAL_ACTOR } from "../store/actor.ts";
import { ensureDataFolder } from "../store/data-folder.ts";
import { readTransaction } from "../store/transaction.ts";
import { keysOfAccount, markDemo } from "../writes/demo-mark.ts";
import { DEMO_NAME } from "../writes/demo-name.ts";
import { anybodySignsIn, makeDemoPeople } from "../writes/demo-people.ts";
import { importPaths } from "../writes/import-paths.ts";

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
export async function loadDemo(say: (line: string) => void): Promise<void> {
  const folder = mkdtempSync(path.join(ensureDataFolder(), "demo-"));
  try {
    await writeDemoDrop(folder);
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

export async function demoCommand(): Promise<number> {
  await readyDatabase();
  await loadDemo((line) => process.stderr.write(`raintrip: ${line}\n`));
  return 0;
}
