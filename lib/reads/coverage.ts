import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { contractTroubles, twiceTroubles } from "../coverage/contract-troubles.ts";
import { sitesTwice } from "../coverage/one-site.ts";
import { accountMoney, datedDeadlines, withMoney } from "../jobs/coverage-deadlines.ts";
import type { Actor } from "../store/actor.ts";
import { bySite, paperContent, papersOf, sharedSerials } from "../store/coverage-rows.ts";
import { doubtfulContracts, registerCounts, registerLines } from "../store/register-rows.ts";
import { readTransaction } from "../store/transaction.ts";
import { booksOf, linksOf, openReminders, paperLine, reportsOf } from "./coverage-lines.ts";
import type { CalendarView, ContractLine, CoverageView } from "./coverage-view.ts";

export const CoverageQuery = z.object({
  book: z.string().max(300).optional(),
  find: z.string().max(300).optional(),
});
export const CalendarQuery = z.object({
  book: z.string().max(300).optional(),
  month: z
    .string()
    .regex(/^20\d{2}-(0[1-9]|1[0-2])$/, "a month as YYYY-MM")
    .optional(),
});

const SHOWN_CONTRACTS = 200;
const SHOWN_DEADLINES = 100;

/** The register of a book or of the account, with what is due. */
export async function readCoverage(
  actor: Actor,
  query: z.infer<typeof CoverageQuery>,
  now: number,
): Promise<CoverageView> {
  authorise(actor, "coverage.read");
  return readTransaction(actor, async (tx) => {
    const book = query.book || null;
    const find = (query.find ?? "").trim();
    const counts = await registerCounts(tx, book);
    const { lines, total } = await registerLines(tx, { book, find, most: SHOWN_CONTRACTS });
    const papers = bySite(await papersOf(tx, [...new Set(lines.map((line) => line.siteId))]));
    const contracts: ContractLine[] = lines.map((line) => ({
      ...line,
      papers: (papers.get(line.siteId) ?? []).filter((p) => p.coverage_id === line.coverageId).map(paperLine),
    }));
    const deadlines = await datedDeadlines(tx, book, now);
    const shared = await sharedSerials(tx);
    const bookOf = new Map(shared.map((site) => [site.siteId, site.book]));
    const twice = twiceTroubles(sitesTwice(shared)).filter((t) => book === null || bookOf.get(t.siteId) === book);
    return {
      today: new Date(now).toISOString().slice(0, 10),
      currency: (await accountMoney(tx)).accountCurrency,
      books: await booksOf(tx),
      book,
      find,
      ...counts,
      contracts,
      contractsTotal: total,
      troubles: [...twice, ...contractTroubles(await doubtfulContracts(tx, book))],
      deadlines: await withMoney(tx, deadlines.slice(0, SHOWN_DEADLINES), now),
      deadlinesTotal: deadlines.length,
      reminders: await openReminders(tx, book),
      links: book === null ? [] : await linksOf(tx, { book }, now),
      reports: book === null ? [] : await reportsOf(tx, book),
    };
  });
}

/** Deadlines of one month, for a page of a calendar. */
export async function readDeadlineCalendar(
  actor: Actor,
  query: z.infer<typeof CalendarQuery>,
  now: number,
): Promise<CalendarView> {
  authorise(actor, "coverage.read");
  const today = new Date(now).toISOString().slice(0, 10);
  const month = query.month ?? today.slice(0, 7);
  return readTransaction(actor, async (tx) => {
    const book = query.book || null;
    const all = await datedDeadlines(tx, book, now);
    return {
      month,
      books: await booksOf(tx),
      book,
      today,
      deadlines: await withMoney(
        tx,
        all.filter((d) => d.dueOn?.startsWith(month)),
        now,
      ),
      undated: await withMoney(
        tx,
        all.filter((d) => d.state === "read_contract"),
        now,
      ),
    };
  });
}

/** @throws AppError `not_found` */
export async function readPaper(
  actor: Actor,
  siteId: string,
  documentId: string,
): Promise<{ content: Buffer; fileName: string; mediaType: string }> {
  authorise(actor, "coverage.read");
  const id = z.uuid().safeParse(documentId);
  const paper = id.success ? await readTransaction(actor, (tx) => paperContent(tx, siteId, id.data)) : null;
  if (!paper) throw new AppError("not_found", { message: "There is no such paper." });
  return paper;
}
