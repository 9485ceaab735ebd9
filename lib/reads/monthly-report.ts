import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction } from "../store/transaction.ts";

/** A stored monthly report. @throws AppError `not_found` */
export async function readMonthlyReport(actor: Actor, reportId: string): Promise<{ pdf: Buffer; fileName: string }> {
  authorise(actor, "coverage.read");
  const id = z.uuid().safeParse(reportId);
  const [row] = id.success
    ? await readTransaction(
        actor,
        (tx) => tx<{ pdf: Buffer; month: string; portfolio: string }[]>`
          SELECT pdf, month, portfolio FROM monthly_report WHERE account_id = current_account() AND report_id = ${id.data}`,
      )
    : [];
  if (!row) throw new AppError("not_found", { message: "There is no such report." });
  return { pdf: row.pdf, fileName: `report-${row.portfolio.replace(/[^A-Za-z0-9_-]+/g, "_")}-${row.month}.pdf` };
}
