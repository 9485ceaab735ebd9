import { mkdirSync, writeFileSync } from "node:fs";
import path from "node:path";
import type { FuzzFailure, FuzzTarget } from "../fuzz/fuzz-target.ts";
import { importBase, importCase } from "../fuzz/import-case.ts";
import { runCases, TARGETS } from "../fuzz/targets.ts";
import type { LongContext, LongPart, PartState } from "./part.ts";
import { testInstallation } from "./test-installation.ts";

/** Of all cases, those that go through the real import into a database; they cost the most. */
const IMPORT_SHARE = 0.03;
const SLICE = 2000;

/** Cases against every reader, `total` of them. */
export function fuzzPart(total: number): LongPart {
  let installation: Awaited<ReturnType<typeof testInstallation>> | null = null;
  const imports: FuzzTarget = { name: "import", share: IMPORT_SHARE, run: importCase };
  const targets = [...TARGETS, imports];
  return {
    name: "fuzz",
    total,
    unit: "cases",
    async slice(state, context) {
      const next = Math.min(state.done + SLICE, total);
      const all = targets.reduce((sum, t) => sum + t.share, 0);
      for (const target of targets) {
        const upTo = (n: number) => Math.round((n * target.share) / all);
        if (target === imports && !installation && upTo(next) > upTo(state.done)) {
          installation = await testInstallation();
          await importBase();
        }
        await runCases(target, context.seed, [upTo(state.done), upTo(next)], (failure, id) =>
          keep(failure, id, state, context),
        );
      }
      state.done = next;
      state.figures["peak MB"] = Math.max(
        state.figures["peak MB"] ?? 0,
        Math.round(process.resourceUsage().maxRSS / 1024),
      );
    },
    says: (state) => `peak memory ${state.figures["peak MB"] ?? 0} MB`,
    close: async () => installation?.close(),
  };
}

/** Files of a failure, ready to be moved to tests/data/fuzz-corpus once the reader is mended. */
function keep(failure: FuzzFailure, id: string, _state: PartState, { failures, fail }: LongContext): void {
  const folder = path.join(failures, id.replaceAll("/", "-"));
  mkdirSync(folder, { recursive: true });
  for (const [name, bytes] of Object.entries(failure.files)) writeFileSync(path.join(folder, name), bytes);
  fail(`${failure.message.split("\n", 1)[0]} (files in ${folder})`);
}
