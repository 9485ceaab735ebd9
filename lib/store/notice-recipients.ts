import { z } from "zod";
import type { Sql } from "./transaction.ts";

const at = z.date().transform((date) => date.getTime());

const RecipientRow = z
  .object({
    recipient_id: z.string(),
    kind: z.enum(["email", "webhook"]),
    address: z.string(),
    make_safe: z.boolean(),
    plan_changes: z.boolean(),
    quiet_from: z.string().nullable(),
    quiet_to: z.string().nullable(),
    time_zone: z.string(),
    added_by: z.string(),
    added_at: at,
  })
  .transform((r) => ({
    ...{
      recipientId: r.recipient_id,
      kind: r.kind,
      address: r.address,
      makeSafe: r.make_safe,
      planChanges: r.plan_changes,
    },
    ...{
      quietFrom: r.quiet_from,
      quietTo: r.quiet_to,
      timeZone: r.time_zone,
      addedBy: r.added_by,
      addedAt: r.added_at,
    },
  }));
export type Recipient = z.infer<typeof RecipientRow>;

/** Those who are told, without their secrets. */
export async function recipients(tx: Sql): Promise<Recipient[]> {
  const rows =
    await tx`SELECT recipient_id, kind, address, make_safe, plan_changes, quiet_from, quiet_to, time_zone, added_by, added_at
    FROM notice_recipient WHERE account_id = current_account() AND removed_at IS NULL ORDER BY added_at`;
  return z.array(RecipientRow).parse([...rows]);
}

export async function addRecipient(tx: Sql, r: Omit<Recipient, "addedAt"> & { secret: string | null }): Promise<void> {
  await tx`INSERT INTO notice_recipient (account_id, recipient_id, kind, address, secret, make_safe, plan_changes, quiet_from, quiet_to, time_zone, added_by)
    VALUES (current_account(), ${r.recipientId}, ${r.kind}, ${r.address}, ${r.secret}, ${r.makeSafe}, ${r.planChanges},
      ${r.quietFrom}, ${r.quietTo}, ${r.timeZone}, ${r.addedBy})`;
}

/** @returns the address of the one removed; null: there was none */
export async function removeRecipient(tx: Sql, recipientId: string, person: string): Promise<string | null> {
  const [row] = await tx<{ address: string }[]>`
    UPDATE notice_recipient SET removed_by = ${person}, removed_at = clock_timestamp(), secret = NULL
    WHERE account_id = current_account() AND recipient_id = ${recipientId} AND removed_at IS NULL RETURNING address`;
  if (row)
    await tx`UPDATE notice SET state = 'given_up' WHERE account_id = current_account() AND recipient_id = ${recipientId} AND state = 'waiting'`;
  return row?.address ?? null;
}
