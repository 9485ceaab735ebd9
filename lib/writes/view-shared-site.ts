import "server-only";
import { evidenceDocument } from "../reads/evidence-document.ts";
import { evidenceFacts } from "../reads/evidence-facts.ts";
import type { SharedSiteView } from "../reads/shared-site-view.ts";
import { openLink } from "../store/access-links.ts";
import { readTransaction, writeTransaction } from "../store/transaction.ts";

/** Contracts and papers are between the owner and who signed them, and how to check a file is of no use without one. */
const LEFT_OUT = new Set(["Warranties and policies", "Notices sent", "Papers", "How to check this file"]);

/**
 * Open a shared link: each opening is an entry in the audit log, because who looked and when may matter later.
 * @returns null when the link opens nothing: unknown, over, revoked, or its site has no score any more
 */
export async function viewSharedSite(secret: string, now: number): Promise<SharedSiteView | null> {
  const link = await openLink(secret, "site", now);
  if (!link?.siteId || !link.expiresAt) return null;
  const { siteId, actor } = link;
  const facts = await readTransaction(actor, (tx) => evidenceFacts(tx, siteId, now));
  if (!facts) return null;
  await writeTransaction(actor, async () => ({
    result: null,
    note: { action: "link.view", subject: siteId, detail: { linkId: link.linkId, madeFor: link.madeFor } },
  }));
  const { title, subtitle, facts: pairs, sections } = evidenceDocument(facts, now);
  return {
    madeFor: link.madeFor,
    sharedBy: link.madeBy,
    expiresAt: link.expiresAt.toISOString(),
    title,
    subtitle,
    facts: pairs,
    sections: sections.filter((s) => !LEFT_OUT.has(s.heading)),
  };
}
