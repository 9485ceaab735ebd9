import { AppError } from "../core/app-error.ts";
import { verifyEvidence } from "../report/verify-evidence.ts";
import { readArguments } from "./read-arguments.ts";

/** `verify FILE`: needs no database. 0: every part is as it was made; 1: not. */
export async function verifyCommand(args: string[]): Promise<number> {
  const { values, positionals } = readArguments({
    args,
    allowPositionals: true,
    options: { json: { type: "boolean" } },
  });
  const [file, ...more] = positionals;
  if (!file || more.length > 0)
    throw new AppError("wrong_use", { message: "verify needs the manifest of an evidence file: verify manifest.json" });
  const { intact, manifest, problems } = await verifyEvidence(file);
  if (values.json) {
    const { site_id, made_at, as_of, seal, parts } = manifest ?? {};
    const about = manifest ? { site_id, made_at, as_of, seal, parts: parts?.length } : null;
    process.stdout.write(`${JSON.stringify({ intact, about, problems })}\n`);
  } else {
    for (const p of problems) process.stdout.write(`${p.what}: ${p.file} ${p.says}\n`);
    if (manifest && intact)
      process.stdout.write(
        `${manifest.parts.length} parts as they were made: site ${manifest.site_id}, made ${manifest.made_at}, records up to ${manifest.as_of}\nseal ${manifest.seal}\n`,
      );
  }
  return intact ? 0 : 1;
}
