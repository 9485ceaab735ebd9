import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { noteSeen } from "../store/seen.ts";
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
  return {
    as_of: asOf === null ? null : new Date(asOf).toISOString(),
    currency: account?.currency ?? "USD",
    visits: rows.flatMap(({ rank, proposal }) =>
      proposal.visit && rank !== null ? [{ ...proposal.visit, rank }] : [],
    ),
    watch: rows.flatMap(({ site_id, proposal }) => (proposal.watch ? [{ site_id, ...proposal.watch }] : [])),
  };
}

/** The same over HTTP: waits for the worker to bring it up to date. */
export async function readQueueWhenFresh(actor: Actor): Promise<QueueDocument> {
  authorise(actor, "queue.read");
  await whenFresh(actor);
  await noteSeen(actor, "queue.export", "queue");
  return readQueue(actor);
}
