import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import {
  accountMoney,
  type BookDeadline,
  datedDeadlines,
  moneyAtRisk,
  moneyVersion,
  priced,
} from "../jobs/coverage-deadlines.ts";
import type { Actor } from "../store/actor.ts";
import { keptRead } from "../store/kept-read.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import type { BookLine, BooksView } from "./books-view.ts";
import { EXPOSURE_CAUTIONS } from "./exposure-document.ts";
import { SiteLossDetail } from "./exposure-stored.ts";
import { lossRunAbout } from "./loss-run-about.ts";

const SHOWN_DEADLINES = 3;
const SHOWN_SITES = 5;
const SHOWN_REPORTS = 3;

const Line = z.object({
  book: z.string(),
  sites: z.number(),
  kw: z.number(),
  make_safe: z.number(),
  urgent: z.number(),
  planned: z.number(),
  watch: z.number(),
});

const Worst = z
  .object({
    site_id: z.string(),
    name: z.string(),
    book: z.string(),
    net: z.number(),
    net_low: z.number(),
    net_high: z.number(),
    p: z.number(),
    low: z.number(),
    high: z.number(),
    proof: SiteLossDetail.shape.proof,
  })
  .transform(({ site_id, name, book, net, net_low, net_high, p, low, high, proof }) => ({
    book,
    line: {
      ...{ siteId: site_id, name, net: { value: net, low: net_low, high: net_high }, bonding: { p, low, high } },
      missing: proof?.gains[0] ?? null,
    },
  }));

/** Every book that the asker sees, whole: what it stands to lose, by when, what was found, and where it is worst. */
export async function readBooks(actor: Actor, now: number): Promise<BooksView> {
  authorise(actor, "books.read");
  const about = await lossRunAbout(actor.accountId);
  return readTransaction(actor, async (tx) => {
    const lines = z.array(Line).parse([
      ...(await tx`
        SELECT s.portfolio AS book, count(*)::int AS sites, sum(s.dc_kw)::float8 AS kw,
          count(*) FILTER (WHERE st.urgency = 'make_safe')::int AS make_safe, count(*) FILTER (WHERE st.urgency = 'urgent')::int AS urgent,
          count(*) FILTER (WHERE st.urgency = 'planned')::int AS planned, count(*) FILTER (WHERE st.urgency = 'watch')::int AS watch
        FROM site s LEFT JOIN standing st USING (account_id, site_id) WHERE s.account_id = current_account() GROUP BY 1 ORDER BY 1`),
    ]);
    const dated = (await datedDeadlines(tx, null, now)).filter((d) => d.state !== "sent");
    const risk = await keptRead(actor, "money at risk", await moneyVersion(tx, now), () =>
      moneyAtRisk(tx, [...new Set(dated.map((d) => d.siteId))], now),
    );
    const deadlines = byBook(dated.map((d) => ({ ...priced(d, risk), book: d.portfolio })));
    const reports = byBook(await newestReports(tx));
    const worst = about ? await worstSites(tx, about.runId) : [];
    const books: BookLine[] = [];
    for (const { book, sites, kw, ...byUrgency } of lines)
      books.push({
        ...{ book, sites, kw, byUrgency },
        exposure: about?.result.books.find((b) => b.book === book) ?? null,
        deadlines: deadlinesOf(deadlines.get(book) ?? []),
        worst: worst.filter((w) => w.book === book).map((w) => w.line),
        reports: (reports.get(book) ?? []).map(({ reportId, month }) => ({ reportId, month })),
      });
    return {
      currency: (await accountMoney(tx)).accountCurrency,
      asOf: about?.asOf ?? null,
      computedAt: about?.computedAt ?? null,
      stale: about?.stale ?? false,
      books,
      cautions: [...EXPOSURE_CAUTIONS],
    };
  });
}

function byBook<T extends { book: string }>(rows: readonly T[]): Map<string, T[]> {
  const out = new Map<string, T[]>();
  for (const row of rows) {
    const list = out.get(row.book);
    if (list) list.push(row);
    else out.set(row.book, [row]);
  }
  return out;
}

/** The newest reports of every book, by one query. */
const newestReports = (tx: Sql) => tx<{ book: string; reportId: string; month: string }[]>`
  SELECT book, "reportId", month FROM (
    SELECT portfolio AS book, report_id::text AS "reportId", month, made_at,
      row_number() OVER (PARTITION BY portfolio ORDER BY made_at DESC) AS place
    FROM monthly_report WHERE account_id = current_account()) newest
  WHERE place <= ${SHOWN_REPORTS} ORDER BY book, made_at DESC`;

async function worstSites(tx: Sql, runId: string): Promise<z.infer<typeof Worst>[]> {
  const rows = await tx`
    SELECT * FROM (
      SELECT l.site_id, st.name, l.book, l.net, l.net_low, l.net_high, st.bonding_p AS p, st.bonding_low AS low,
        st.bonding_high AS high, l.detail -> 'proof' AS proof,
        row_number() OVER (PARTITION BY l.book ORDER BY l.net DESC, l.site_id) AS place
      FROM loss_site l JOIN standing st USING (account_id, site_id)
      WHERE l.account_id = current_account() AND l.run_id = ${runId}) ranked
    WHERE place <= ${SHOWN_SITES} ORDER BY book, place`;
  return z.array(Worst).parse([...rows]);
}

function deadlinesOf(own: readonly BookDeadline[]): BookLine["deadlines"] {
  // Money hangs on a contract once, however many of its days come.
  const risk = new Map(own.map((d) => [`${d.siteId}\n${d.coverageId}`, d.atRisk ?? 0]));
  return {
    total: own.length,
    pressing: own.filter((d) => d.state !== "open").length,
    atRisk: [...risk.values()].reduce((sum, x) => sum + x, 0),
    next: own.slice(0, SHOWN_DEADLINES).map((d) => ({
      ...{ siteId: d.siteId, siteName: d.siteName, coverageId: d.coverageId, kind: d.kind },
      ...{ dueOn: d.dueOn, state: d.state, daysLeft: d.daysLeft, sentOn: d.sentOn },
    })),
  };
}
