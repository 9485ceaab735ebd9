import { dueReminder } from "../coverage/deadlines-reminders.ts";
import { systemActor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { readTransaction, writeTransaction } from "../store/transaction.ts";
import { bookDeadlines } from "./coverage-deadlines.ts";

export const REMINDER_ALERT = "coverage_deadline";

/**
 * Write the reminders that are due now, each once however often and by however many workers this is run.
 * The model's prudent dates are shown on the page and remind nobody: they are no deadlines of a contract.
 * @returns how many were new
 */
export async function writeReminders(db: Database, accountId: number, now: number): Promise<number> {
  const actor = systemActor(accountId);
  const due = await readTransaction(
    actor,
    async (tx) => {
      // Most accounts have no claim most of the time: then there is nothing to work out.
      const claims = await tx<{ site_id: string }[]>`
        SELECT DISTINCT site_id FROM discovery WHERE account_id = current_account() AND ended_how IS NULL`;
      if (claims.length === 0) return [];
      const all = await bookDeadlines(
        tx,
        claims.map((row) => row.site_id),
        now,
      );
      return all.flatMap((deadline) => {
        const reminder = dueReminder(deadline);
        return reminder && deadline.discoveryId !== null ? [{ deadline, reminder }] : [];
      });
    },
    db,
  );
  if (due.length === 0) return 0;
  return writeTransaction(
    actor,
    async (tx) => {
      let added = 0;
      for (const { deadline, reminder } of due) {
        const { siteId, siteName, portfolio, coverageId, kind, dueOn } = deadline;
        const detail = {
          siteId,
          siteName,
          portfolio,
          coverageId,
          kind,
          dueOn,
          threshold: reminder.threshold,
          says: reminder.says,
        };
        const made = await tx`INSERT INTO outbox_alert (account_id, kind, subject, detail)
          VALUES (current_account(), ${REMINDER_ALERT}, ${reminder.key}, ${tx.json(detail)})
          ON CONFLICT (account_id, kind, subject) DO NOTHING`;
        added += made.count;
      }
      return {
        result: added,
        note: added > 0 ? { action: "coverage.remind", subject: "reminders", detail: { added } } : null,
      };
    },
    db,
  );
}
