import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { noteSeen } from "../store/seen.ts";
import { type SiteHold, siteHolds } from "../store/site-holds.ts";
import { dataHorizon } from "../store/site-records.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import type { QueueDocument } from "./documents.ts";
import { Proposal } from "./standing-rows.ts";
import { whenFresh } from "./when-fresh.ts";

const QueueRow = z.object({ site_id: z.string(), rank: z.number().nullable(), proposal: Proposal });

/** The queue as last computed: visits by rank, then the watch list by site. */
export async function readQueue(actor: Actor): Promise<QueueDocument> {
  authorise(actor, "queue.read");
  return readTransaction(actor, (tx) => queueDocument(tx));
}

export async function queueDocument(tx: Sql): Promise<QueueDocument> {
  const [account] = await tx<{ currency: string }[]>`SELECT currency FROM account WHERE account_id = current_account()`;
  const rows = z
    .array(QueueRow)
    .parse([
      ...(await tx`SELECT site_id, rank, proposal FROM standing WHERE account_id = current_account() ORDER BY rank NULLS LAST, site_id`),
    ]);
  const asOf = await dataHorizon(tx, Date.now());
  const holds = await siteHolds(tx);
  return {
    as_of: asOf === null ? null : new Date(asOf).toISOString(),
    currency: account?.currency ?? "USD",
    visits: rows.flatMap(({ rank, proposal }) =>
      proposal.visit && rank !== null ? [{ ...withHold(proposal.visit, holds), rank }] : [],
    ),
    watch: rows.flatMap(({ site_id, proposal }) => (proposal.watch ? [{ site_id, ...proposal.watch }] : [])),
  };
}

/** Why nobody goes before that day. */
export const holdSays = ({ until, reason, by }: SiteHold): string =>
  `Held until ${until} by ${by}: ${reason}${/[.!?]$/.test(reason) ? "" : "."} What is promised stays so.`;

/** A held site stays in the queue and says so first. An emergency is not held: waiting there endangers people. */
function withHold<V extends { site_id: string; urgency: string; reasons: string[] }>(
  visit: V,
  holds: ReadonlyMap<string, SiteHold>,
): V {
  const hold = holds.get(visit.site_id);
  if (!hold) return visit;
  return visit.urgency === "make_safe"
    ? {
        ...visit,
        reasons: [
          ...visit.reasons,
          `It was held until ${hold.until}; an emergency cannot be held, because people may touch live metal meanwhile.`,
        ],
      }
    : { ...visit, reasons: [holdSays(hold), ...visit.reasons] };
}

/** The same over HTTP: waits for the worker to bring it up to date. */
export async function readQueueWhenFresh(actor: Actor): Promise<QueueDocument> {
  authorise(actor, "queue.read");
  await whenFresh(actor);
  await noteSeen(actor, "queue.export", "queue");
  return readQueue(actor);
}
