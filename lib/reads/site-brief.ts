import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction } from "../store/transaction.ts";
import { answerSentence } from "./answer-sentence.ts";
import type { SiteBrief } from "./ranked-sites-view.ts";
import { storedScores } from "./score.ts";
import { Proposal } from "./standing-rows.ts";

/** The reason of one row of the list and the strongest evidence on either side; null: no such site, or no score yet. */
export async function readSiteBrief(actor: Actor, siteId: string): Promise<SiteBrief | null> {
  authorise(actor, "sites.read");
  return readTransaction(actor, async (tx) => {
    const [score] = await storedScores(tx, siteId);
    const [row] = z
      .array(z.object({ proposal: Proposal }))
      .parse([
        ...(await tx`SELECT proposal FROM standing WHERE account_id = current_account() AND site_id = ${siteId}`),
      ]);
    if (!score || !row) return null;
    const found = score.evidence.filter((e) => e.source !== "prior").toSorted((a, b) => b.decibans - a.decibans);
    const [first, last] = [found[0], found.at(-1)];
    return {
      siteId,
      answer: answerSentence(score),
      why: row.proposal.visit?.reasons ?? (row.proposal.watch ? [row.proposal.watch.reason] : []),
      strongestFor: first && first.decibans > 0 ? first : null,
      strongestAgainst: last && last.decibans < 0 ? last : null,
      gaps: score.gaps.length,
    };
  });
}
