import "server-only";
import { authorise } from "../core/permissions.ts";
import { readEvidence } from "../reads/evidence.ts";
import type { EvidenceContents, EvidencePart } from "../report/evidence-manifest.ts";
import { evidenceFolder, writeManifest, writePart } from "../report/write-evidence.ts";
import type { Actor } from "../store/actor.ts";
import { writeTransaction } from "../store/transaction.ts";

/**
 * Write the evidence file of a site and enter its seal in the audit log, so that a file made anew later can be told
 * from this one.
 * @param out a folder that is not there yet, or empty
 * @throws AppError as `readEvidence` and `evidenceFolder`; nothing is left behind then
 */
export async function makeEvidence(
  actor: Actor,
  siteId: string,
  { out, madeAt }: { out: string; madeAt: number },
): Promise<{ contents: EvidenceContents; seal: string }> {
  authorise(actor, "evidence.make");
  return evidenceFolder(out, async (folder) => {
    const contents = await readEvidence(actor, siteId, {
      madeAt,
      use: async ({ about, parts }) => {
        const written: EvidencePart[] = [];
        for (const part of parts) written.push(await writePart(folder, part));
        return { ...about, parts: written };
      },
    });
    const seal = await writeManifest(folder, contents);
    const detail = { seal, asOf: contents.as_of, parts: contents.parts.length };
    await writeTransaction(actor, async () => ({
      result: null,
      note: { action: "evidence.make", subject: siteId, detail },
    }));
    return { contents, seal };
  });
}
