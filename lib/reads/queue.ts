import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { noteSeen } from "../store/seen.ts";
import { dataHorizon } from "../store/site-records.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import type { QueueDocument, QueueVisit } from "./documents.ts";
import { Proposal } from "./standing-rows.ts";
import { whenFresh } from "./when-fresh.ts";

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
  return {
    ...(await queueHead(tx)),
    visits: rows.flatMap(rankedVisit),
    watch: rows.flatMap(({ site_id, proposal }) => (proposal.watch ? [{ site_id, ...proposal.watch }] : [])),
  };
}

const rankedVisit = ({ rank, proposal }: z.infer<typeof QueueRow>): QueueVisit[] =>
  proposal.visit && rank !== null ? [{ ...proposal.visit, rank }] : [];

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
  return z
    .array(QueueRow)
    .parse([...rows])
    .flatMap(rankedVisit);
}

/** The money that the queue is in. */
export async function readCurrency(actor: Actor): Promise<string> {
  authorise(actor, "queue.read");
  return readTransaction(actor, async (tx) => (await queueHead(tx)).currency);
}

/** The same over HTTP: waits for the worker to bring it up to date. */
export async function readQueueWhenFresh(actor: Actor): Promise<QueueDocument> {
  authorise(actor, "queue.read");
  await whenFresh(actor);
  await noteSeen(actor, "queue.export", "queue");
  return readQueue(actor);
}
