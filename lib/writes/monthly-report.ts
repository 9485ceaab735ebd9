import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { storeMonthlyReport } from "../jobs/monthly-report.ts";
import type { Actor } from "../store/actor.ts";

export const MonthlyReportBody = z.strictObject({
  book: z.string().min(1).max(300),
  month: z.string().regex(/^20\d{2}-(0[1-9]|1[0-2])$/, "a month as YYYY-MM"),
});

/**
 * Make the report of a book and month on demand. It is stored beside the scheduled one and takes nothing from it.
 * @throws AppError `wrong_use` for a month to come, `not_found`
 */
export async function makeMonthlyReport(
  actor: Actor,
  { book, month }: z.infer<typeof MonthlyReportBody>,
  now: number,
): Promise<{ report_id: string }> {
  authorise(actor, "coverage.write");
  if (month > new Date(now).toISOString().slice(0, 7))
    throw new AppError("wrong_use", { message: `${month} has not begun. Choose a month up to this one.` });
  const made = await storeMonthlyReport(actor, { book, month, scheduled: false, now });
  if (!made) throw new RangeError("makeMonthlyReport requires a report made on demand to be stored");
  return { report_id: made.report_id };
}
