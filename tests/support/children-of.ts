import { readdirSync, readFileSync } from "node:fs";

/** Processes by what started them, from /proc: on Linux only. */
export function childrenOf(parent: number): { pid: number; command: string }[] {
  const out: { pid: number; command: string }[] = [];
  for (const name of readdirSync("/proc").filter((entry) => /^\d+$/.test(entry))) {
    try {
      const stat = readFileSync(`/proc/${name}/stat`, "utf8");
      const [, ppid] = stat.slice(stat.lastIndexOf(")") + 2).split(" ");
      if (Number(ppid) === parent)
        out.push({ pid: Number(name), command: readFileSync(`/proc/${name}/cmdline`, "utf8").replaceAll("\0", " ") });
    } catch {
      // It ended while it was looked at.
    }
  }
  return out;
}
