import type { Database } from "../store/database.ts";
import { writeReminders } from "./coverage-reminders.ts";
import { scheduledReports } from "./monthly-report.ts";
import { Seldom } from "./seldom.ts";

/** Days change slowly: a worker looks at the deadlines of an account this often, not at every round. */
const looks = new Seldom(10 * 60_000);

/** Whether this process should look at an account's deadlines now. Two workers that both look write nothing twice. */
export const coverageIsDue = (accountId: number, now: number): boolean => looks.isDue(accountId, now);

/** Reminders that are due and reports of a month that is over; what fails is said and tried again, what is cut off gone on with. */
export async function coverageRound(db: Database, accountId: number, now: number, signal?: AbortSignal): Promise<void> {
  for (const [name, work] of [
    ["reminders", writeReminders],
    ["reports", scheduledReports],
  ] as const)
    await work(db, accountId, now, signal).catch((error: Error) => {
      looks.isLeft(accountId);
      if (signal?.aborted) return;
      console.error(`raintrip ${name}: ${error.message}`);
    });
}
