import { AppError } from "../core/app-error.ts";
import { readyDatabase } from "../jobs/ready.ts";
import { refreshScores } from "../jobs/refresh-scores.ts";
import { answerSentence } from "../reads/answer-sentence.ts";
import { readScore, ScoreQuery } from "../reads/score.ts";
import { LOCAL_ACTOR } from "../store/actor.ts";
import { readArguments } from "./read-arguments.ts";

/** `score`: computes what is stale, then shows what is stored, or with --as-of what the records up to then give. */
export async function scoreCommand(args: string[]): Promise<number> {
  const { values } = readArguments({
    args,
    options: { site: { type: "string" }, "as-of": { type: "string" }, json: { type: "boolean" } },
  });
  const { json, ...given } = values;
  const query = ScoreQuery.safeParse(given);
  if (!query.success) {
    const issue = query.error.issues[0];
    throw new AppError("wrong_use", { message: `--${issue?.path.join(".")}: ${issue?.message}` });
  }
  await readyDatabase();
  if (query.data["as-of"] === undefined) await refreshScores(LOCAL_ACTOR, { now: Date.now(), onProgress: sayProgress });
  const document = await readScore(LOCAL_ACTOR, query.data);
  if (json) process.stdout.write(`${JSON.stringify(document)}\n`);
  else {
    process.stdout.write(`as of ${document.as_of ?? "(nothing imported)"}\n`);
    for (const site of document.sites.toSorted((a, b) => b.bonding_defect.p - a.bonding_defect.p)) {
      process.stdout.write(`\n${site.site_id}  ${answerSentence(site)}\n`);
      for (const e of site.evidence) process.stdout.write(`  ${e.decibans.toFixed(1).padStart(6)} dB  ${e.says}\n`);
      for (const g of site.gaps) process.stdout.write(`     gap  ${g.says}\n`);
    }
  }
  return 0;
}

export function sayProgress(done: number, total: number): void {
  if (process.stderr.isTTY)
    process.stderr.write(`\r\x1b[Kscored ${done} of ${total} sites${done === total ? "\n" : ""}`);
}
