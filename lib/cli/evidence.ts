import path from "node:path";
import { AppError } from "../core/app-error.ts";
import { readyDatabase } from "../jobs/ready.ts";
import { refreshScores } from "../jobs/refresh-scores.ts";
import { MANIFEST_FILE } from "../report/evidence-manifest.ts";
import { LOCAL_ACTOR } from "../store/actor.ts";
import { makeEvidence } from "../writes/make-evidence.ts";
import { readArguments } from "./read-arguments.ts";
import { sayProgress } from "./score.ts";

/** `evidence SITE_ID --out FOLDER`: brings the scores up to date, then writes the folder. */
export async function evidenceCommand(args: string[]): Promise<number> {
  const { values, positionals } = readArguments({
    args,
    allowPositionals: true,
    options: { out: { type: "string" }, json: { type: "boolean" } },
  });
  const [siteId, ...more] = positionals;
  if (!siteId || more.length > 0 || !values.out)
    throw new AppError("wrong_use", { message: "evidence needs one site and a folder: evidence SITE_ID --out FOLDER" });
  await readyDatabase();
  const now = Date.now();
  await refreshScores(LOCAL_ACTOR, { now, onProgress: sayProgress });
  const { contents, seal } = await makeEvidence(LOCAL_ACTOR, siteId, { out: values.out, madeAt: now });
  const manifest = path.join(path.resolve(values.out), MANIFEST_FILE);
  if (values.json) process.stdout.write(`${JSON.stringify({ ...contents, seal, manifest })}\n`);
  else {
    for (const p of contents.parts)
      process.stdout.write(`${p.file}: ${p.rows === null ? "" : `${p.rows} records, `}${p.bytes} bytes\n`);
    process.stdout.write(`${manifest}\nseal ${seal}\n`);
  }
  return 0;
}
