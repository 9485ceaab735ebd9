import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { wakeScoring } from "../jobs/wake-worker.ts";
import type { Actor } from "../store/actor.ts";
import { writeTransaction } from "../store/transaction.ts";

export const AccountRateBody = z.object({
  currency: z.string().regex(/^[A-Z]{3}$/, "three capital letters (ISO 4217)"),
  /** Account units for one unit of it; null takes the rate away. */
  rate: z.number().positive("the rate must be above 0").max(1e9).nullable(),
});

/**
 * Set what one unit of a currency is worth in the account's. Scores hang on it, so they follow.
 * @throws AppError `forbidden` to anyone but an administrator, `wrong_use` for the account's own currency
 */
export async function saveAccountRate(
  actor: Actor,
  { currency, rate }: z.infer<typeof AccountRateBody>,
): Promise<{ currency: string; rate: number | null }> {
  if (actor.role !== "administrator") throw new AppError("forbidden", { message: "Only an administrator sets rates." });
  await writeTransaction(actor, async (tx) => {
    const [account] = await tx<
      { currency: string }[]
    >`SELECT currency FROM account WHERE account_id = current_account()`;
    if (account?.currency === currency)
      throw new AppError("wrong_use", { message: `${currency} is the account's own currency: its rate is 1.` });
    const [before] = await tx<{ rate: number }[]>`
      SELECT rate FROM account_rate WHERE account_id = current_account() AND currency = ${currency}`;
    if (rate === null)
      await tx`DELETE FROM account_rate WHERE account_id = current_account() AND currency = ${currency}`;
    else
      await tx`INSERT INTO account_rate (account_id, currency, rate) VALUES (current_account(), ${currency}, ${rate})
        ON CONFLICT (account_id, currency) DO UPDATE SET rate = excluded.rate`;
    const detail = { from: before?.rate ?? null, to: rate };
    return { result: null, note: { action: "account.rate", subject: currency, detail } };
  });
  // The worker's own round finds stale scores too; this only makes it sooner.
  await wakeScoring(actor.accountId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
  return { currency, rate };
}
