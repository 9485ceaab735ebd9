import { createHash, randomUUID } from "node:crypto";
import { AppError } from "../core/app-error.ts";
import { SUSPICION_PROBABILITY } from "../coverage/deadlines-suspicion.ts";
import { CONTRACT_GOVERNS } from "../reads/coverage-view.ts";
import { drawReport } from "../report/draw-report.ts";
import { type BookMonth, MOST_DEADLINES, MOST_SITES, monthlyReport } from "../report/monthly-report.ts";
import type { ReportDocument } from "../report/report-document.ts";
import { type Actor, systemActor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { dataHorizon } from "../store/site-records.ts";
import { readTransaction, type Sql, writeTransaction } from "../store/transaction.ts";
import { accountMoney, datedDeadlines } from "./coverage-deadlines.ts";

const TITLES = {
  prudent_notice: "prudent day to notify",
  notice: "notice",
  proof_of_loss: "proof of loss",
  suit: "time to bring suit",
} as const;
const STATES = {
  read_contract: "read the contract",
  open: "open",
  lapse_risk: "begin now",
  passed: "over",
  sent: "sent",
} as const;
/** The month before the one that an instant is in, UTC, as YYYY-MM. */
export function monthBefore(now: number): string {
  const at = new Date(now);
  return new Date(Date.UTC(at.getUTCFullYear(), at.getUTCMonth() - 1, 1)).toISOString().slice(0, 7);
}

/** What the report of a book and month says. Deadlines and scores are as of now; counts are of the month, UTC. */
export async function bookMonth(tx: Sql, book: string, month: string, now: number): Promise<BookMonth> {
  const from = new Date(`${month}-01T00:00:00Z`);
  const to = new Date(Date.UTC(from.getUTCFullYear(), from.getUTCMonth() + 1, 1));
  const own = tx`SELECT site_id FROM site WHERE account_id = current_account() AND portfolio = ${book}`;
  const [sites] = await tx<{ n: number; kw: number }[]>`
    SELECT count(*)::int AS n, coalesce(sum(dc_kw), 0)::float8 AS kw FROM site WHERE account_id = current_account() AND portfolio = ${book}`;
  if (!sites || sites.n === 0) throw new AppError("not_found", { message: `There is no book "${book}".` });
  const urgency = await tx<
    { urgency: keyof BookMonth["byUrgency"]; n: number; suspected: number; loss: number | null }[]
  >`
    SELECT urgency, count(*)::int AS n, count(*) FILTER (WHERE bonding_p >= ${SUSPICION_PROBABILITY})::int AS suspected,
      sum(expected_loss) AS loss FROM standing WHERE account_id = current_account() AND portfolio = ${book} GROUP BY urgency`;
  const of = (name: keyof BookMonth["byUrgency"]) => urgency.find((u) => u.urgency === name)?.n ?? 0;
  const losses = urgency.flatMap((u) => (u.loss === null ? [] : [u.loss]));
  const scored = urgency.reduce((sum, u) => sum + u.n, 0);
  const [start] = await tx<{ n: number; suspected: number }[]>`
    SELECT count(*)::int AS n, count(*) FILTER (WHERE p >= ${SUSPICION_PROBABILITY})::int AS suspected FROM (
      SELECT DISTINCT ON (site_id) bonding_p AS p FROM score WHERE account_id = current_account() AND site_id IN (${own})
        AND as_of < ${from} ORDER BY site_id, as_of DESC, computed_at DESC) s`;
  const [counts] = await tx<
    { visits: number; repairs: number; alarms: number; open: number; entered: number; notices: number }[]
  >`SELECT
      (SELECT count(*)::int FROM visit WHERE account_id = current_account() AND site_id IN (${own}) AND status = 'done'
        AND coalesce(promised_to, promised_from) >= ${from} AND coalesce(promised_to, promised_from) < ${to}) AS visits,
      (SELECT count(*)::int FROM repair WHERE account_id = current_account() AND site_id IN (${own}) AND cause <> 'none_found'
        AND repaired_at >= ${from} AND repaired_at < ${to}) AS repairs,
      (SELECT coalesce(sum(n), 0)::int FROM (SELECT (SELECT count(*) FROM jsonb_array_elements(detail -> 'episodes') e
          WHERE (e ->> 'onset')::float8 >= ${from.getTime()}::float8 AND (e ->> 'onset')::float8 < ${to.getTime()}::float8) AS n
        FROM site_detail WHERE account_id = current_account() AND site_id IN (${own})) x) AS alarms,
      (SELECT count(*)::int FROM discovery WHERE account_id = current_account() AND site_id IN (${own}) AND ended_how IS NULL) AS open,
      (SELECT count(*)::int FROM discovery WHERE account_id = current_account() AND site_id IN (${own})
        AND discovered_at >= ${from} AND discovered_at < ${to}) AS entered,
      (SELECT count(*)::int FROM notice_sent WHERE account_id = current_account() AND site_id IN (${own}) AND kind = 'notice'
        AND sent_on >= ${from.toISOString().slice(0, 10)}::date AND sent_on < ${to.toISOString().slice(0, 10)}::date) AS notices`;
  const worst = await tx<BookMonth["worst"]>`
    SELECT name AS site, urgency, bonding_p AS p, bonding_low AS low, bonding_high AS high FROM standing
    WHERE account_id = current_account() AND portfolio = ${book} ORDER BY urgency_order, rank NULLS LAST, bonding_p DESC, site_id LIMIT ${MOST_SITES}`;
  // The report names no money of a single deadline, which is dear to reckon.
  const deadlines = (await datedDeadlines(tx, book, now)).filter((d) => d.state !== "sent");
  const horizon = await dataHorizon(tx, now);
  return {
    book,
    month,
    currency: (await accountMoney(tx)).accountCurrency,
    asOf: horizon === null ? null : new Date(horizon).toISOString(),
    sites: sites.n,
    kw: sites.kw,
    byUrgency: { make_safe: of("make_safe"), urgent: of("urgent"), planned: of("planned"), watch: of("watch") },
    notScored: sites.n - scored,
    suspected: {
      now: urgency.reduce((sum, u) => sum + u.suspected, 0),
      atStart: start && start.n > 0 ? start.suspected : null,
    },
    expectedLoss: losses.length > 0 ? losses.reduce((a, b) => a + b, 0) : null,
    visitsDone: counts?.visits ?? 0,
    repairs: counts?.repairs ?? 0,
    episodes: counts?.alarms ?? 0,
    discoveries: { open: counts?.open ?? 0, entered: counts?.entered ?? 0 },
    notices: counts?.notices ?? 0,
    deadlines: deadlines.slice(0, MOST_DEADLINES).map((d) => ({
      dueOn: d.dueOn,
      title: TITLES[d.kind],
      site: d.siteName,
      state: STATES[d.state],
    })),
    deadlinesTotal: deadlines.length,
    worst: worst.map((row) => ({ ...row })),
    governs: CONTRACT_GOVERNS,
  };
}

/**
 * Make the report of a book and month and store it.
 * @returns null when it is a scheduled one that is stored already
 * @throws AppError `not_found` for an unknown book
 */
export async function storeMonthlyReport(
  actor: Actor,
  asked: { book: string; month: string; scheduled: boolean; now: number },
  db?: Database,
): Promise<{ report_id: string; document: ReportDocument } | null> {
  const { book, month, scheduled, now } = asked;
  const document = await readTransaction(
    actor,
    async (tx) => monthlyReport(await bookMonth(tx, book, month, now), now),
    db,
  );
  const pdf = Buffer.from(await drawReport(document));
  const sha256 = createHash("sha256").update(pdf).digest("hex");
  const id = randomUUID();
  const stored = await writeTransaction(
    actor,
    async (tx) => {
      const added =
        await tx`INSERT INTO monthly_report (account_id, report_id, portfolio, month, scheduled, sha256, pdf, made_by, made_at)
        VALUES (current_account(), ${id}, ${book}, ${month}, ${scheduled}, ${sha256}, ${pdf}, ${actor.person}, ${new Date(now)})
        ON CONFLICT (account_id, portfolio, month) WHERE scheduled DO NOTHING`;
      const detail = { reportId: id, month, scheduled, sha256 };
      return {
        result: added.count > 0,
        note: added.count > 0 ? { action: "report.month", subject: book, detail } : null,
      };
    },
    db,
  );
  return stored ? { report_id: id, document } : null;
}

/** Reports of the month that is over, for every book that has none yet. @returns how many were made */
export async function scheduledReports(
  db: Database,
  accountId: number,
  now: number,
  signal?: AbortSignal,
): Promise<number> {
  const actor = systemActor(accountId);
  const month = monthBefore(now);
  const books = await readTransaction(
    actor,
    (tx) => tx<{ portfolio: string }[]>`
      SELECT DISTINCT portfolio FROM standing s WHERE account_id = current_account() AND NOT EXISTS (
        SELECT 1 FROM monthly_report r WHERE r.account_id = current_account() AND r.portfolio = s.portfolio AND r.month = ${month} AND r.scheduled)
      ORDER BY portfolio`,
    db,
  );
  let made = 0;
  for (const { portfolio } of books) {
    signal?.throwIfAborted();
    if (await storeMonthlyReport(actor, { book: portfolio, month, scheduled: true, now }, db)) made++;
  }
  return made;
}
