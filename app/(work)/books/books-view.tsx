import Link from "next/link";
import { estimateText, money, rangedMoney, words } from "@/app/_ui/format.ts";
import { Probability } from "@/app/_ui/probability.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { MOMENT, Timed } from "@/app/_ui/timed.tsx";
import { BOOKS_VIEW } from "@/app/_words/books.ts";
import type { BookLine, BooksView as View } from "@/lib/reads/books-view.ts";
import { KIND_WORDS, leftWords } from "../coverage/deadline-words.ts";
import { Cautions } from "../exposure/cautions.tsx";
import { Trend } from "../exposure/trend.tsx";

/** What an owner asks first: what is at stake, by when, what was found, and where. */
export function BooksView({ view }: { view: View }) {
  return (
    <>
      <h1>{BOOKS_VIEW.booksAtAGlance}</h1>
      <p className="soft">
        {BOOKS_VIEW.whatEachBookOf("")}
        {view.asOf ? <Timed says={BOOKS_VIEW.recordsUpTo(MOMENT)} at={view.asOf} /> : null}
      </p>
      {view.stale ? (
        <p className="note gap" role="status">
          <strong>{BOOKS_VIEW.stale}</strong> {BOOKS_VIEW.scoresContractsOrParameters}
        </p>
      ) : null}
      <Cautions says={view.cautions} />
      {view.books.length === 0 ? (
        <p className="empty">{BOOKS_VIEW.noBookOfSites}</p>
      ) : (
        view.books.map((book) => <Book key={book.book} book={book} currency={view.currency} />)
      )}
    </>
  );
}

function Book({ book, currency }: { book: BookLine; currency: string }) {
  const { exposure, deadlines } = book;
  const asked = `?book=${encodeURIComponent(book.book)}`;
  return (
    <section aria-label={book.book} data-book={book.book}>
      <h2>{book.book}</h2>
      <Facts book={book} currency={currency} />
      <h3>{BOOKS_VIEW.daysThatComeNext(deadlines.total)}</h3>
      {deadlines.next.length === 0 ? (
        <p className="empty">{BOOKS_VIEW.noDeadlineIsKnown}</p>
      ) : (
        <ul data-next-deadlines>
          {deadlines.next.map((d) => (
            <li key={d.siteId + d.coverageId + d.kind}>
              <strong>{d.dueOn === null ? BOOKS_VIEW.readTheContractNotify : `${d.dueOn}, ${leftWords(d)}`}</strong>:{" "}
              {KIND_WORDS[d.kind].toLowerCase()}
              {d.kind === "prudent_notice" ? BOOKS_VIEW.suspectedAndNotDiscovered : ""},{" "}
              <Link href={`/coverage/sites/${encodeURIComponent(d.siteId)}`}>{d.siteName}</Link>
              {BOOKS_VIEW.contract(d.coverageId)}
            </li>
          ))}
        </ul>
      )}
      <p>
        <Link href={`/coverage${asked}`}>{BOOKS_VIEW.allDeadlinesAndContracts}</Link> ·{" "}
        <Link href={`/coverage/calendar${asked}`}>{BOOKS_VIEW.calendar}</Link>
        {book.reports.map((r) => (
          <span key={r.reportId}>
            {" "}
            · <a href={`/api/pages/coverage/reports/${r.reportId}`}>{BOOKS_VIEW.report(r.month)}</a>
          </span>
        ))}
      </p>
      <WorstSites book={book} currency={currency} />
      {exposure ? (
        <details>
          <summary>{BOOKS_VIEW.trendByMonth}</summary>
          <Trend trend={exposure.trend} />
        </details>
      ) : null}
    </section>
  );
}

function Facts({ book, currency }: { book: BookLine; currency: string }) {
  const { exposure, deadlines, byUrgency } = book;
  const shortfall = exposure?.tail.find((t) => t.level === 0.975)?.expected_shortfall;
  return (
    <dl className="facts" data-book-glance>
      <div>
        <dt>{BOOKS_VIEW.expectedLossOfThe}</dt>
        <dd>
          <strong>{exposure ? rangedMoney(exposure.expected_net, currency) : BOOKS_VIEW.notDrawnYet}</strong>
        </dd>
      </div>
      <div>
        <dt>{BOOKS_VIEW.grossAndWhatMay}</dt>
        <dd>
          {exposure
            ? `${rangedMoney(exposure.expected_gross, currency)}; ${money(exposure.expected_gross.value - exposure.expected_net.value, currency)}`
            : BOOKS_VIEW.notDrawnYet}
        </dd>
      </div>
      <div>
        <dt>{BOOKS_VIEW.expectedShortfallMeanOf}</dt>
        <dd>{shortfall ? estimateText(shortfall, currency) : BOOKS_VIEW.notDrawnYet}</dd>
      </div>
      <div>
        <dt>{BOOKS_VIEW.recoveryThatMissingProof}</dt>
        <dd>{exposure ? money(exposure.proof.all, currency) : BOOKS_VIEW.notDrawnYet}</dd>
      </div>
      <div>
        <dt>{BOOKS_VIEW.sites}</dt>
        <dd>
          {BOOKS_VIEW.kwDcMakeSafe(
            book.sites,
            Math.round(book.kw).toLocaleString("en-US"),
            byUrgency.make_safe,
            byUrgency.urgent,
            byUrgency.planned,
            byUrgency.watch,
          )}
        </dd>
      </div>
      <div>
        <dt>{BOOKS_VIEW.bondingOrGroundingDefects}</dt>
        <dd>
          {exposure
            ? BOOKS_VIEW.expectedToFoundOpen(
                exposure.defects.expected.value.toFixed(1),
                exposure.defects.expected.low.toFixed(1),
                exposure.defects.expected.high.toFixed(1),
                exposure.defects.open,
                exposure.defects.put_right,
                exposure.defects.held,
              )
            : BOOKS_VIEW.notDrawnYet}
        </dd>
      </div>
      <div>
        <dt>{BOOKS_VIEW.deadlines}</dt>
        <dd>{BOOKS_VIEW.ofWhichPressOf(deadlines.total, deadlines.pressing, money(deadlines.atRisk, currency))}</dd>
      </div>
    </dl>
  );
}

function WorstSites({ book, currency }: { book: BookLine; currency: string }) {
  if (book.worst.length === 0) return null;
  return (
    <>
      <h3>{BOOKS_VIEW.sitesWithTheGreatest}</h3>
      <Table
        label={BOOKS_VIEW.sitesOf(book.book)}
        className="ranked"
        data={{ "data-worst-sites": true }}
        columns={[
          {
            name: BOOKS_VIEW.site,
            className: "site",
            cell: (s) => (
              <>
                <Link href={`/exposure/sites/${encodeURIComponent(s.siteId)}`}>{s.name}</Link>{" "}
                <span className="soft">{s.siteId}</span>
              </>
            ),
          },
          { name: BOOKS_VIEW.bondingDefect, cell: (s) => <Probability value={s.bonding} /> },
          {
            name: BOOKS_VIEW.expectedNet,
            num: true,
            label: BOOKS_VIEW.expectedNet,
            cell: (s) => rangedMoney(s.net, currency),
          },
          {
            name: BOOKS_VIEW.missingProofWorthMost,
            label: BOOKS_VIEW.missingProof,
            cell: (s) =>
              s.missing ? `${words(s.missing.name)}, ${money(s.missing.worth, currency)}` : BOOKS_VIEW.noneKnown,
          },
        ]}
        rows={book.worst}
        keyOf={(s) => s.siteId}
      />
    </>
  );
}
