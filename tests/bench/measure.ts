import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { table } from "../study/study-table.ts";

/** One repeat of something measured: by the clock, and seconds of a core of this process and of the database server. */
export interface Repeat {
  seconds: number;
  core: number;
  /** Of it, what the database server took. */
  served?: number;
}

export interface Figure {
  name: string;
  repeats: Repeat[];
  /** Name of the figure of the same run that this one is a ratio to. */
  against?: string;
  /** How many things a repeat handled, and what they are. */
  count?: number;
  unit?: string;
  /** What is aimed at, as text: it is for the reader to compare. */
  aim?: string;
  says?: string;
}

/** The baseline's slowest repeat may take this much of its fastest, and the run is still judged. */
export const NOISY = 1.5;

export const median = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1
    ? (sorted[half] as number)
    : ((sorted[half - 1] as number) + (sorted[half] as number)) / 2;
};

/** The value below which a share of the values lie, by nearest rank. */
export const quantile = (values: readonly number[], share: number): number =>
  [...values].sort((a, b) => a - b)[Math.max(0, Math.ceil(share * values.length) - 1)] as number;

/** Seconds of a core that a process and its children used so far; NaN where the system does not tell. */
export function coreSecondsOf(pid: number | null): number {
  if (pid === null) return 0;
  try {
    const children = readFileSync(`/proc/${pid}/task/${pid}/children`, "utf8").trim();
    const own = ticks(pid, true);
    return (own + children.split(" ").reduce((sum, child) => sum + (child ? ticks(Number(child), false) : 0), 0)) / 100;
  } catch {
    return Number.NaN;
  }
}

/** Clock ticks of a process; with those of its children that ended, or without. */
function ticks(pid: number, withEnded: boolean): number {
  try {
    const stat = readFileSync(`/proc/${pid}/stat`, "utf8");
    const fields = stat.slice(stat.lastIndexOf(")") + 2).split(" ");
    return fields.slice(11, withEnded ? 15 : 13).reduce((sum, field) => sum + Number(field), 0);
  } catch {
    return 0; // it ended meanwhile
  }
}

const ownCore = () => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1e6;
};

/** Run something a number of times. @param server pid of the database server whose time counts too; null: none */
export async function repeated(
  times: number,
  server: number | null,
  run: (round: number) => unknown,
  before: (round: number) => unknown = () => {},
): Promise<Repeat[]> {
  const out: Repeat[] = [];
  for (let round = 0; round < times; round++) {
    await before(round);
    const [at, core, served] = [performance.now(), ownCore(), coreSecondsOf(server)];
    await run(round);
    const byServer = coreSecondsOf(server) - served;
    out.push({ seconds: (performance.now() - at) / 1000, core: ownCore() - core + byServer, served: byServer });
  }
  return out;
}

const spread = ({ repeats }: Figure) => {
  const seconds = repeats.map((r) => r.seconds);
  return Math.max(...seconds) / Math.min(...seconds);
};
const short = (x: number) => (x >= 100 ? x.toFixed(0) : x >= 1 ? x.toFixed(2) : x.toPrecision(2));
const range = (values: readonly number[]) =>
  values.length === 1
    ? short(values[0] as number)
    : `${short(median(values))} (${short(Math.min(...values))}-${short(Math.max(...values))})`;

/** Ratio of medians to the figure it is measured against, by the clock and in core time; null: it is the baseline. */
export function ratiosOf(figure: Figure, all: readonly Figure[]): { clock: number; core: number } | null {
  const base = all.find((f) => f.name === figure.against);
  if (!base) return null;
  const of = (f: Figure, key: "seconds" | "core") => median(f.repeats.map((r) => r[key]));
  return { clock: of(figure, "seconds") / of(base, "seconds"), core: of(figure, "core") / of(base, "core") };
}

/** The table of a run, with a line where the machine was too busy to judge by the clock. */
export function tableOf(figures: readonly Figure[]): string {
  const rows = figures.map((f) => {
    const ratios = ratiosOf(f, figures);
    const each = (key: "core" | "served") => short((1000 * median(f.repeats.map((r) => r[key] ?? 0))) / (f.count ?? 1));
    const cost = f.count
      ? `${each("core")} ms a ${f.unit}${f.repeats[0]?.served === undefined ? "" : `, server ${each("served")}`}`
      : "";
    return [
      f.name,
      range(f.repeats.map((r) => r.seconds)),
      range(f.repeats.map((r) => r.core)),
      cost,
      ratios ? short(ratios.clock) : "1",
      ratios ? short(ratios.core) : "1",
      f.aim ?? "",
    ];
  });
  const noisy = figures.filter((f) => figures.some((other) => other.against === f.name) && spread(f) > NOISY);
  const says = figures.flatMap((f) => (f.says ? [`${f.name}: ${f.says}`] : []));
  const busy = noisy.map(
    (f) =>
      `Too noisy to judge by the clock: repeats of "${f.name}" differ by a factor of ${spread(f).toFixed(1)} (limit ${NOISY}). Core time is steadier.`,
  );
  const head = ["", "clock, s", "core, s", "core", "ratio, clock", "ratio, core", "aim"];
  return [table(head, rows), ...says, ...busy].join("\n");
}

/** Keep a run for comparison with later ones. @returns the file */
export function keepRun(bench: string, options: unknown, figures: readonly Figure[]): string {
  const folder = path.resolve(import.meta.dirname, "../../test-results/bench");
  mkdirSync(folder, { recursive: true });
  const at = new Date().toISOString();
  const file = path.join(folder, `${at.replaceAll(":", "-").slice(0, 19)}-${bench}.json`);
  const machine = { cores: os.cpus().length, load: os.loadavg()[0], node: process.version };
  const measured = figures.map((f) => ({
    ...f,
    ratio: ratiosOf(f, figures),
    too_noisy: f.repeats.length > 1 && spread(f) > NOISY,
  }));
  writeFileSync(file, `${JSON.stringify({ at, bench, options, machine, figures: measured }, null, 1)}\n`);
  return file;
}
