import "server-only";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { sampleOf } from "../ingest/mapped-file.ts";
import { sourceFile } from "../ingest/read-file.ts";
import { uploadFolder } from "../jobs/upload-folder.ts";
import { wakeWorker } from "../jobs/wake-worker.ts";
import { headerKey } from "../mapping/mapping.ts";
import { openQuestions } from "../mapping/open-questions.ts";
import { defaultsFor } from "../reads/import-defaults.ts";
import { readWaitingFiles } from "../reads/import-mapping.ts";
import type { StartImport } from "../reads/import-mapping-view.ts";
import type { Actor } from "../store/actor.ts";
import { keepImportProfile } from "../store/import-profiles.ts";
import { writeTransaction } from "../store/transaction.ts";
import { ImportOptions } from "./import-drop.ts";

/**
 * Let an import begin that waited for somebody to say how its files are read; what is to be remembered is kept as a profile.
 * @throws AppError `wrong_use` when something is still open, `not_found`, `conflict` when it waits for nothing
 */
export async function startImport(actor: Actor, importId: string, { files }: StartImport): Promise<void> {
  authorise(actor, "imports.write");
  const waiting = await readWaitingFiles(actor, importId);
  const profiles: { key: string; name: string; header: string[]; mapping: unknown; madeBy: string }[] = [];
  const open: string[] = [];
  for (const [file, said] of Object.entries(files)) {
    if (!said.mapping) continue;
    if (!waiting.some((w) => w.file === file))
      throw new AppError("wrong_use", { message: `This upload has no file ${file}.` });
    const sample = await sampleOf(await sourceFile(`${uploadFolder(importId)}/${file}`), said.mapping);
    open.push(
      ...openQuestions(said.mapping, sample, await defaultsOf(actor, importId, said.mapping.kind)).map(
        (q) => `${file}: ${q.says}`,
      ),
    );
    if (said.remember)
      profiles.push({
        key: headerKey(sample.header),
        name: said.remember,
        header: sample.header,
        mapping: said.mapping,
        madeBy: actor.person,
      });
  }
  const unsaid = waiting.filter((w) => w.readAs === null && files[w.file] === undefined);
  if (unsaid.length > 0) open.push(`Nobody said how ${unsaid.map((w) => w.file).join(", ")} is to be read.`);
  if (open.length > 0) throw new AppError("wrong_use", { message: `Not yet: ${open.slice(0, 3).join(" ")}` });
  const mappings = Object.fromEntries(
    Object.entries(files).flatMap(([file, { mapping }]) => (mapping ? [[file, mapping]] : [])),
  );
  await writeTransaction(actor, async (tx) => {
    for (const profile of profiles) await keepImportProfile(tx, profile);
    const begun =
      await tx`UPDATE import_drop SET status = 'waiting', options = options || ${tx.json({ mappings } as never)}
      WHERE import_id = ${importId} AND status = 'asking'`;
    if (begun.count === 0) throw new AppError("conflict", { message: `Import ${importId} asks for nothing any more.` });
    const detail = { files: Object.keys(mappings), profiles: profiles.map((p) => p.name) };
    return { result: null, note: { action: "import.map", subject: importId, detail } };
  });
  await wakeWorker(actor.accountId, importId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
}

async function defaultsOf(actor: Actor, importId: string, kind: string | null): Promise<Record<string, string>> {
  return writeTransaction(actor, async (tx) => {
    const [drop] = await tx<{ options: unknown }[]>`SELECT options FROM import_drop WHERE import_id = ${importId}`;
    return { result: defaultsFor(kind ?? "", ImportOptions.parse(drop?.options ?? {})), note: null };
  });
}
