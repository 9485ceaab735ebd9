/**
 * `npm run study -- NAME [--part P] [--seed S] [--sites N]`: simulation studies of what the methods promise. Each prints
 * a table with Monte Carlo errors; another seed gives another draw of the same worlds. Nothing here is timed in a test.
 */
import { parseArgs } from "node:util";
import { CORRELATION_PARTS, correlationStudy } from "./correlation-study.ts";

const STUDIES: Record<string, { parts: readonly string[]; run: (o: StudyOptions) => void }> = {
  correlation: { parts: CORRELATION_PARTS, run: correlationStudy },
};

export interface StudyOptions {
  part: string | null;
  seed: string;
  /** Sites a cell; null: the size that the study is meant to have. */
  sites: number | null;
  print: (line: string) => void;
}

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { part: { type: "string" }, seed: { type: "string", default: "1" }, sites: { type: "string" } },
});
const study = STUDIES[positionals[0] ?? ""];
const sites = values.sites === undefined ? null : Number(values.sites);
if (!study || (values.part && !study.parts.includes(values.part)) || (sites !== null && !(sites >= 20))) {
  const known = Object.entries(STUDIES).map(([name, s]) => `${name} (parts: ${s.parts.join(", ")})`);
  console.error(
    `usage: npm run study -- NAME [--part P] [--seed S] [--sites N, 20 or more]\nstudies: ${known.join("; ")}`,
  );
  process.exit(2);
}
study.run({ part: values.part ?? null, seed: values.seed, sites, print: console.log });
