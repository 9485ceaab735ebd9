import { dueReminder } from "../coverage/deadlines-reminders.ts";
import { SUSPICION_PROBABILITY } from "../coverage/deadlines-suspicion.ts";
import { systemActor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { readTransaction, writeTransaction } from "../store/transaction.ts";
import { datedDeadlines } from "./coverage-deadlines.ts";

export const REMINDER_ALERT = "coverage_deadline";

/**
 * Write the reminders that are due now, each once however often and by however many workers this is run: of the
 * deadlines of claims, and of the prudent days that follow from what the model suspects, worded as suspicion.
 * @returns how many were new
 */
export async function writeReminders(db: Database, accountId: number, now: number): Promise<number> {
  const actor = systemActor(accountId);
  const due = await readTransaction(
    actor,
    async (tx) => {
      // Only where a contract is on record and something is discovered or suspected is there anything to work out.
      const sites = await tx<{ site_id: string }[]>`
        SELECT DISTINCT site_id FROM coverage c WHERE account_id = current_account() AND (
          EXISTS (SELECT 1 FROM discovery d WHERE d.account_id = c.account_id AND d.site_id = c.site_id AND ended_how IS NULL)
          OR EXISTS (SELECT 1 FROM standing s WHERE s.account_id = c.account_id AND s.site_id = c.site_id
            AND bonding_p >= ${SUSPICION_PROBABILITY}))`;
      if (sites.length === 0) return [];
      const all = await datedDeadlines(
        tx,
        sites.map((row) => row.site_id),
        now,
      );
      return all.flatMap((deadline) => {
        const reminder = dueReminder(deadline);
        return reminder ? [{ deadline, reminder }] : [];
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
