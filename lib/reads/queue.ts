import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { noteSeen } from "../store/seen.ts";
import { type SiteHold, siteHolds } from "../store/site-holds.ts";
import { dataHorizon } from "../store/site-records.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import type { QueueDocument, QueueVisit } from "./documents.ts";
import { Proposal } from "./standing-rows.ts";
import { whenFresh } from "./when-fresh.ts";

/** The queue is whole: nothing is asked for but it. */
export const QueueQuery = z.object({});

const QueueRow = z.object({ site_id: z.string(), rank: z.number().nullable(), proposal: Proposal });

/** The queue as last computed: visits by rank, then the watch list by site. */
export async function readQueue(actor: Actor): Promise<QueueDocument> {
  authorise(actor, "queue.read");
  return readTransaction(actor, (tx) => queueDocument(tx));
}

/** The whole queue with its checklists: tens of kilobytes a site, so a page asks for what it shows instead. */
export async function queueDocument(tx: Sql): Promise<QueueDocument> {
  const rows = z
    .array(QueueRow)
    .parse([
      ...(await tx`SELECT site_id, rank, proposal FROM standing WHERE account_id = current_account() ORDER BY rank NULLS LAST, site_id`),
    ]);
  const holds = await siteHolds(tx);
  return {
    ...(await queueHead(tx)),
    visits: rows.flatMap((row) => rankedVisit(row, holds)),
    watch: rows.flatMap(({ site_id, proposal }) => (proposal.watch ? [{ site_id, ...proposal.watch }] : [])),
  };
}

/** What is proposed, with why nobody goes before a day where somebody holds the site. */
export const rankedVisit = (
  { rank, proposal }: Pick<z.infer<typeof QueueRow>, "rank" | "proposal">,
  holds: ReadonlyMap<string, SiteHold>,
): QueueVisit[] => (proposal.visit && rank !== null ? [{ ...withHold(proposal.visit, holds), rank }] : []);

/** Of which instant the queue is, and in which money. */
export async function queueHead(tx: Sql): Promise<Pick<QueueDocument, "as_of" | "currency">> {
  const [account] = await tx<{ currency: string }[]>`SELECT currency FROM account WHERE account_id = current_account()`;
  const asOf = await dataHorizon(tx, Date.now());
  return { as_of: asOf === null ? null : new Date(asOf).toISOString(), currency: account?.currency ?? "USD" };
}

/** Those of these visits that are in the queue, by rank. */
export async function queuedVisits(tx: Sql, visitIds: readonly string[]): Promise<QueueVisit[]> {
  const rows = await tx`SELECT site_id, rank, proposal FROM standing
    WHERE account_id = current_account() AND visit_id = ANY(${[...visitIds]}) AND rank IS NOT NULL ORDER BY rank, site_id`;
  const holds = await siteHolds(tx);
  return z
    .array(QueueRow)
    .parse([...rows])
    .flatMap((row) => rankedVisit(row, holds));
}

/** The money that the queue is in. */
export async function readCurrency(actor: Actor): Promise<string> {
  authorise(actor, "queue.read");
  return readTransaction(actor, async (tx) => (await queueHead(tx)).currency);
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
