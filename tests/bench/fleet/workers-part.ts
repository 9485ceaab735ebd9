import { type ChildProcess, spawn } from "node:child_process";
import path from "node:path";
import { WORKING_NODE } from "../../../lib/cli/working-node.ts";
import { coreSecondsOf, type Figure, type Repeat } from "../measure.ts";
import type { MadeFleet } from "./made-fleet.ts";

const root = path.resolve(import.meta.dirname, "../../..");

/**
 * The whole fleet scored anew by numbers of processes that share its sites, such as 1, 2 and 4; all begin once all have
 * planned. Without 1 among them there is no ratio.
 */
export async function workersFigures(fleet: MadeFleet, repeats: number, numbers: readonly number[]): Promise<Figure[]> {
  const { options, admin } = fleet;
  const now = Date.parse(`${options.endDay}T00:00:00Z`) + 2 * 86_400_000;
  const [name, baseline] = [(n: number) => `${n} ${n === 1 ? "process" : "processes"}`, "1 process"];
  const out: Figure[] = numbers.map((n) => ({
    ...{ name: name(n), repeats: [], count: options.sites, unit: "site" },
    ...(n === 1 || !numbers.includes(1)
      ? {}
      : { against: baseline, aim: n === 2 ? "0.67 or less by the clock" : "no site twice, none lost" }),
  }));
  // Each number of processes in turn, so that a busy quarter of an hour does not fall on one of them alone.
  for (let round = 0; round < repeats; round++)
    for (const figure of out) {
      await admin`UPDATE standing SET input_hash = 'old'`;
      await admin`VACUUM ANALYZE standing`;
      const { repeat, says } = await scoredBy(numbers[out.indexOf(figure)] as number, fleet, now);
      figure.repeats.push(repeat);
      figure.says = says;
    }
  return out;
}

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
  const child: ChildProcess = spawn(process.execPath, [...WORKING_NODE, "tests/jobs/scoring-process.ts", String(now)], {
    cwd: root,
    env: { ...process.env, RAINTRIP_ADDRESS: address },
    stdio: ["pipe", "pipe", "inherit"],
  });
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
