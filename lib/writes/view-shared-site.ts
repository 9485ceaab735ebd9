import "server-only";
import type { Units } from "../core/units.ts";
import { evidenceDocument } from "../reads/evidence-document.ts";
import { evidenceFacts } from "../reads/evidence-facts.ts";
import { unitsOf } from "../reads/reader-units.ts";
import type { SharedSiteView } from "../reads/shared-site-view.ts";
import { openLink } from "../store/access-links.ts";
import { systemActor } from "../store/actor.ts";
import { readTransaction, writeTransaction } from "../store/transaction.ts";

/** Contracts and papers are between the owner and who signed them, and how to check a file is of no use without one. */
const LEFT_OUT = new Set(["Warranties and policies", "Notices sent", "Papers", "How to check this file"]);

/**
 * Open a shared link: each opening is an entry in the audit log, because who looked and when may matter later.
 * It is in the units of who made the link until its reader asks for others.
 * @returns null when the link opens nothing: unknown, over, revoked, or its site has no score any more
 */
export async function viewSharedSite(
  secret: string,
  now: number,
  asked: Units | null = null,
): Promise<SharedSiteView | null> {
  const link = await openLink(secret, "site", now);
  if (!link?.siteId || !link.expiresAt) return null;
  const { siteId, actor } = link;
  const facts = await readTransaction(actor, (tx) => evidenceFacts(tx, siteId, now));
  if (!facts) return null;
  await writeTransaction(actor, async () => ({
    result: null,
    note: { action: "link.view", subject: siteId, detail: { linkId: link.linkId, madeFor: link.madeFor } },
  }));
  const units = asked ?? (await readTransaction(systemActor(actor.accountId), (tx) => unitsOf(tx, link.madeBy)));
  const { title, subtitle, facts: pairs, sections } = evidenceDocument(facts, now, units);
  return {
    madeFor: link.madeFor,
    sharedBy: link.madeBy,
    expiresAt: link.expiresAt.toISOString(),
    units,
    title,
    subtitle,
    facts: pairs,
    sections: sections.filter((s) => !LEFT_OUT.has(s.heading)),
  };
}
