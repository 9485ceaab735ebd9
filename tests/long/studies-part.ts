import { spawnSync } from "node:child_process";
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
    async slice(state, { seed, fail }) {
      const study = STUDIES[state.done] as string;
      const number = /^\d+$/.test(seed) ? seed : "1";
      const done = spawnSync(process.execPath, ["--import", "tsx", "tests/study/main.ts", study, "--seed", number], {
        cwd: root,
        stdio: ["ignore", "inherit", "inherit"],
      });
      if (done.status !== 0) fail(`the study of ${study} ended with ${done.status ?? done.signal}`);
      state.done++;
    },
    says: () => "figures above",
  };
}
