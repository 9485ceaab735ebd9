import { spawn } from "node:child_process";
import { once } from "node:events";
import path from "node:path";
import type { LongPart } from "./part.ts";

const STUDIES = ["correlation", "diagnosis"] as const;
const root = path.resolve(import.meta.dirname, "..", "..");

/** The studies of the numbers at full size, one a slice; their figures go to the standard output. */
export function studiesPart(): LongPart {
  return {
    name: "studies",
    total: STUDIES.length,
    unit: "studies",
    async slice(state, { seed, fail, stop }) {
      const study = STUDIES[state.done] as string;
      const number = /^\d+$/.test(seed) ? seed : "1";
      const child = spawn(process.execPath, ["--import", "tsx", "tests/study/main.ts", study, "--seed", number], {
        cwd: root,
        stdio: ["ignore", "inherit", "inherit"],
      });
      const end = () => child.kill();
      stop.addEventListener("abort", end, { once: true });
      const [status, signal] = await once(child, "exit");
      stop.removeEventListener("abort", end);
      // A study takes long and keeps nothing of a half: ended with the run, it is run again from its beginning.
      if (stop.aborted) return;
      if (status !== 0) fail(`the study of ${study} ended with ${status ?? signal}`);
      state.done++;
    },
    says: () => "figures above",
  };
}
