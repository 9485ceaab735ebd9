import { existsSync } from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { Worker } from "node:worker_threads";
import { z } from "zod";
import type { PackingDuals, SetPacking, SetPackingSolver } from "../dispatch/routes/set-packing.ts";

const Solution = z.object({
  Status: z.string(),
  ObjectiveValue: z.number(),
  Columns: z.record(z.string(), z.object({ Primal: z.number().optional() })),
  Rows: z.array(z.object({ Name: z.string(), Dual: z.number().optional() })),
});
type Solution = z.infer<typeof Solution>;

const Reply = z.object({ id: z.number(), solution: z.unknown().optional(), error: z.string().optional() });

// Beside this file; where the server has been bundled, under the folder it runs in.
const BESIDE = path.join(path.dirname(fileURLToPath(import.meta.url)), "highs-worker.mjs");
const WORKER = existsSync(BESIDE) ? BESIDE : path.join(process.cwd(), "lib/jobs/highs-worker.mjs");

/** HiGHS in a thread of its own, behind the planner's face for solvers. Close it when done. */
export class HighsSolver implements SetPackingSolver {
  private readonly worker = new Worker(WORKER);
  private readonly open = new Map<number, (solution: Solution | null) => void>();
  private next = 0;

  constructor() {
    this.worker.on("message", (message: unknown) => {
      const reply = Reply.parse(message);
      const parsed = Solution.safeParse(reply.solution);
      this.answer(reply.id, parsed.success ? parsed.data : null);
    });
    const gone = () => {
      for (const id of [...this.open.keys()]) this.answer(id, null);
    };
    this.worker.on("error", gone);
    this.worker.on("exit", gone);
  }

  async relax(problem: SetPacking): Promise<PackingDuals | null> {
    const solution = await this.solve(modelText(problem, false), { solver: "simplex" });
    if (solution?.Status !== "Optimal") return null;
    const duals = new Map(solution.Rows.map((row) => [row.Name, row.Dual ?? 0]));
    return {
      value: solution.ObjectiveValue,
      stops: Array.from({ length: problem.stopCount }, (_, index) => duals.get(`s${index}`) ?? 0),
      days: Array.from({ length: problem.dayCount }, (_, index) => duals.get(`d${index}`) ?? 0),
    };
  }

  async choose(problem: SetPacking, maxNodes: number): Promise<number[] | null> {
    const solution = await this.solve(modelText(problem, true), { mip_max_nodes: maxNodes, mip_rel_gap: 1e-6 });
    if (!solution) return null;
    const chosen = problem.columns.flatMap((_, at) => ((solution.Columns[`x${at}`]?.Primal ?? 0) > 0.5 ? [at] : []));
    return chosen.length > 0 ? chosen : null;
  }

  async close(): Promise<void> {
    await this.worker.terminate();
  }

  private solve(text: string, options: Record<string, unknown>): Promise<Solution | null> {
    const id = this.next++;
    return new Promise((resolve) => {
      this.open.set(id, resolve);
      this.worker.postMessage({ id, text, options });
    });
  }

  private answer(id: number, solution: Solution | null): void {
    this.open.get(id)?.(solution);
    this.open.delete(id);
  }
}

/** The choice as text in LP format, rows named s0.. for stops and d0.. for crew-days. */
function modelText(problem: SetPacking, whole: boolean): string {
  const rows = new Map<string, string[]>();
  const add = (row: string, at: number) => {
    const terms = rows.get(row);
    if (terms) terms.push(`x${at}`);
    else rows.set(row, [`x${at}`]);
  };
  problem.columns.forEach((column, at) => {
    add(`d${column.day}`, at);
    for (const stop of column.stops) add(`s${stop}`, at);
  });
  const objective = problem.columns.map((column, at) => `+ ${column.value} x${at}`).join("\n ");
  const lines = [...rows].map(([name, terms]) => {
    const must = name.startsWith("s") && problem.must.has(Number(name.slice(1)));
    return ` ${name}: ${terms.join("\n + ")} ${must ? "=" : "<="} 1`;
  });
  const kinds = whole ? `Binary\n ${problem.columns.map((_, at) => `x${at}`).join("\n ")}\n` : "";
  return `Maximize\n obj: ${objective}\nSubject To\n${lines.join("\n")}\n${kinds}End\n`;
}
