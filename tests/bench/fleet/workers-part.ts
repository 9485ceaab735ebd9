import { type ChildProcess, spawn } from "node:child_process";
import path from "node:path";
import { WORKING_NODE } from "../../../lib/cli/working-node.ts";
import { coreSecondsOf, type Figure, type Repeat } from "../measure.ts";
import type { MadeFleet } from "./made-fleet.ts";

const root = path.resolve(import.meta.dirname, "../../..");

/** Sites that each process scores before it begins, as one that has worked for hours has. */
const WARM_UPS = 48;

/**
 * The whole fleet scored anew by numbers of processes that share its sites, such as 1, 2 and 4; all begin once all have
 * planned, in the same state: films made, processes warm, tables swept, what was written on disk. Without 1 among them there
 * is no ratio.
 */
export async function workersFigures(fleet: MadeFleet, repeats: number, numbers: readonly number[]): Promise<Figure[]> {
  const { options } = fleet;
  const now = Date.parse(`${options.endDay}T00:00:00Z`) + 2 * 86_400_000;
  const [name, baseline] = [(n: number) => `${n} ${n === 1 ? "process" : "processes"}`, "1 process"];
  const out: Figure[] = numbers.map((n) => ({
    ...{ name: name(n), repeats: [], count: options.sites, unit: "site" },
    ...(n === 1 || !numbers.includes(1)
      ? {}
      : { against: baseline, aim: n === 2 ? "0.67 or less by the clock" : "no site twice, none lost" }),
  }));
  // Films are made on the way of the first round, which is not measured.
  await sameState(fleet);
  await scoredBy(2, fleet, now);
  // Each number of processes in turn, another one first each time, so that nothing falls on one of them alone.
  for (let round = 0; round < repeats; round++)
    for (const [turn] of out.entries()) {
      const at = (round + turn) % out.length;
      const figure = out[at] as Figure;
      await sameState(fleet);
      const { repeat, says } = await scoredBy(numbers[at] as number, fleet, now);
      figure.repeats.push(repeat);
      figure.says = says;
    }
  return out;
}

/** Every site waits, and the server has nothing left to do of the round before. */
async function sameState({ admin }: MadeFleet): Promise<void> {
  await admin`UPDATE standing SET input_hash = 'old'`;
  for (const table of ["standing", "site_detail", "score", "clock_evidence"])
    await admin.unsafe(`VACUUM ANALYZE ${table}`);
  await admin`CHECKPOINT`;
}

/** @returns clock and core from the word to begin until the last is done, its end included */
async function scoredBy(n: number, { options, db, admin, server }: MadeFleet, now: number) {
  const seq = async () =>
    (await admin<{ seq: number }[]>`SELECT coalesce(max(seq), 0)::int AS seq FROM audit_entry`)[0]?.seq ?? 0;
  const before = await seq();
  const workers = await Promise.all(Array.from({ length: n }, () => planned(JSON.stringify(db.address), now)));
  const [began, served] = [performance.now(), coreSecondsOf(server)];
  for (const { child } of workers) child.stdin?.write("go\n");
  await Promise.all(workers.map((worker) => worker.ended));
  const seconds = (performance.now() - began) / 1000;
  const said = workers.map((worker) => /scored (\d+) in ([\d.]+) s, ([\d.]+) s of a core/.exec(worker.said()));
  const each = said.map((found) => Number(found?.[1]));
  const core = said.reduce((sum, found) => sum + Number(found?.[3]), 0) + coreSecondsOf(server) - served;
  const [stored] = await admin<{ sites: number; passes: number; left: number }[]>`
    SELECT (SELECT sum((detail->>'sites')::int)::int FROM audit_entry WHERE action = 'score.compute' AND seq > ${before}) AS sites,
      (SELECT count(*)::int FROM audit_entry WHERE action = 'score.rank' AND seq > ${before}) AS passes,
      (SELECT count(*)::int FROM standing WHERE input_hash = 'old' OR NOT ranked) AS left`;
  if (stored?.sites !== options.sites || stored.left > 0)
    throw new Error(`${n} processes: ${stored?.sites} scores stored of ${options.sites} sites, ${stored?.left} left`);
  const repeat: Repeat = { seconds, core };
  return { repeat, says: `scored ${each.join(" + ")} sites, each once; ${stored.passes} pass over the fleet` };
}

async function planned(address: string, now: number) {
  const child: ChildProcess = spawn(
    process.execPath,
    [...WORKING_NODE, "tests/jobs/scoring-process.ts", String(now), String(WARM_UPS)],
    {
      cwd: root,
      env: { ...process.env, RAINTRIP_ADDRESS: address },
      stdio: ["pipe", "pipe", "inherit"],
    },
  );
  let said = "";
  const ended = new Promise<void>((resolve) => child.once("exit", () => resolve()));
  const isPlanned = new Promise<void>((resolve) =>
    child.stdout?.on("data", (chunk) => {
      said += chunk;
      if (said.includes("planned")) resolve();
    }),
  );
  await Promise.race([isPlanned, ended]);
  return { child, ended, said: () => said };
}
