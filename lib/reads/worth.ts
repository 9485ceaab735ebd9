import "server-only";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction } from "../store/transaction.ts";
import { Proposal } from "./standing-rows.ts";
import type { WorthView } from "./worth-view.ts";

/** What a visit of a site is worth as last computed. @throws AppError `not_found` */
export async function readWorth(actor: Actor, siteId: string): Promise<WorthView> {
  authorise(actor, "plan.read");
  const [row] = await readTransaction(
    actor,
    (tx) => tx<{ proposal: unknown; currency: string }[]>`
      SELECT s.proposal, a.currency FROM standing s JOIN account a USING (account_id)
      WHERE s.account_id = current_account() AND s.site_id = ${siteId}`,
  );
  if (!row) throw new AppError("not_found", { message: `There is no scored site "${siteId}".` });
  const { visit, watch, terms } = Proposal.parse(row.proposal);
  return { siteId, queued: visit !== null, currency: row.currency, terms, wouldChange: watch?.would_change ?? null };
}
