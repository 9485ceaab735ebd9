import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { CAUSES } from "../core/records.ts";
import { wakeScoring } from "../jobs/wake-worker.ts";
import type { Actor } from "../store/actor.ts";
import { writeTransaction } from "../store/transaction.ts";

export const DetectorWordBody = z.object({
  repairedAt: z.number().int(),
  cause: z.enum(CAUSES),
  unchanged: z.boolean(),
});

/**
 * A person's word that the fault detector is enabled with the thresholds it had before a repair, or that it is not.
 * The site is scored anew, because the word bears on whether the fix may be called held.
 * @throws AppError `not_found` when the site has no such repair
 */
export async function sayDetector(
  actor: Actor,
  siteId: string,
  { repairedAt, cause, unchanged }: z.infer<typeof DetectorWordBody>,
): Promise<{ unchanged: boolean }> {
  authorise(actor, "detector.write");
  const at = new Date(repairedAt);
  await writeTransaction(actor, async (tx) => {
    const found = await tx`SELECT 1 FROM repair WHERE account_id = current_account() AND site_id = ${siteId}
      AND repaired_at = ${at} AND cause = ${cause}`;
    if (found.length === 0)
      throw new AppError("not_found", { message: `Site "${siteId}" has no repair of ${cause} at that time.` });
    await tx`INSERT INTO detector_word (account_id, site_id, repaired_at, cause, unchanged, person)
      VALUES (current_account(), ${siteId}, ${at}, ${cause}, ${unchanged}, ${actor.person})
      ON CONFLICT (account_id, site_id, repaired_at, cause)
      DO UPDATE SET unchanged = excluded.unchanged, person = excluded.person, said_at = now()`;
    await tx`UPDATE site SET revision = revision + 1 WHERE account_id = current_account() AND site_id = ${siteId}`;
    const detail = { repairedAt: at.toISOString(), cause, unchanged };
    return { result: null, note: { action: "detector.word", subject: siteId, detail } };
  });
  // The worker's own round finds the stale score too; this only makes it sooner.
  await wakeScoring(actor.accountId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
  return { unchanged };
}
