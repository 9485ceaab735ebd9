import Link from "next/link";
import { estimateText, money, rangedMoney, utcTime, words } from "@/app/_ui/format.ts";
import { Probability } from "@/app/_ui/probability.tsx";
import { Table } from "@/app/_ui/table.tsx";
import type { BookLine, BooksView as View } from "@/lib/reads/books-view.ts";
import { KIND_WORDS, leftWords } from "../coverage/deadline-words.ts";
import { Cautions } from "../exposure/cautions.tsx";
import { Trend } from "../exposure/trend.tsx";

/** What an owner asks first: what is at stake, by when, what was found, and where. */
export function BooksView({ view }: { view: View }) {
  return (
    <>
      <h1>Books at a glance</h1>
      <p className="soft">
        What each book of sites stands to lose in the coming year if nobody goes, which days come next, and what was
        found.{view.asOf ? ` Records up to ${utcTime(view.asOf)}.` : ""}
      </p>
      {view.stale ? (
        <p className="note gap" role="status">
          <strong>Stale.</strong> Scores, contracts or parameters have moved since these figures were drawn; new ones
          follow by themselves.
        </p>
      ) : null}
      <Cautions says={view.cautions} />
      {view.books.length === 0 ? (
        <p className="empty">
          No book of sites is yours to see. Ask an administrator, who gives books to their owners.
        </p>
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
      <h3>Days that come next ({deadlines.total})</h3>
      {deadlines.next.length === 0 ? (
        <p className="empty">
          No deadline is known: nothing is entered as discovered, and nothing suspected under a contract in force. That
          is no clearance.
        </p>
      ) : (
        <ul data-next-deadlines>
          {deadlines.next.map((d) => (
            <li key={d.siteId + d.coverageId + d.kind}>
              <strong>{d.dueOn === null ? "Read the contract, notify now" : `${d.dueOn}, ${leftWords(d)}`}</strong>:{" "}
              {KIND_WORDS[d.kind].toLowerCase()}
              {d.kind === "prudent_notice" ? ", suspected and not discovered" : ""},{" "}
              <Link href={`/coverage/sites/${encodeURIComponent(d.siteId)}`}>{d.siteName}</Link>, contract{" "}
              {d.coverageId}
            </li>
          ))}
        </ul>
      )}
      <p>
        <Link href={`/coverage${asked}`}>All deadlines and contracts</Link> ·{" "}
        <Link href={`/coverage/calendar${asked}`}>Calendar</Link>
        {book.reports.map((r) => (
          <span key={r.reportId}>
            {" "}
            · <a href={`/api/pages/coverage/reports/${r.reportId}`}>Report {r.month}</a>
          </span>
        ))}
      </p>
      <WorstSites book={book} currency={currency} />
      {exposure ? (
        <details>
          <summary>Trend by month</summary>
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
        <dt>Expected loss of the coming year, net</dt>
        <dd>
          <strong>{exposure ? rangedMoney(exposure.expected_net, currency) : "not drawn yet"}</strong>
        </dd>
      </div>
      <div>
        <dt>Gross, and what may be recovered of it</dt>
        <dd>
          {exposure
            ? `${rangedMoney(exposure.expected_gross, currency)}; ${money(exposure.expected_gross.value - exposure.expected_net.value, currency)}`
            : "not drawn yet"}
        </dd>
      </div>
      <div>
        <dt>Expected shortfall, 97.5 %: mean of the worst years</dt>
        <dd>{shortfall ? estimateText(shortfall, currency) : "not drawn yet"}</dd>
      </div>
      <div>
        <dt>Recovery that missing proof costs</dt>
        <dd>{exposure ? money(exposure.proof.all, currency) : "not drawn yet"}</dd>
      </div>
      <div>
        <dt>Sites</dt>
        <dd>
          {book.sites}, {Math.round(book.kw).toLocaleString("en-US")} kW DC: {byUrgency.make_safe} make safe,{" "}
          {byUrgency.urgent} urgent, {byUrgency.planned} planned, {byUrgency.watch} on watch
        </dd>
      </div>
      <div>
        <dt>Bonding or grounding defects</dt>
        <dd>
          {exposure
            ? `${exposure.defects.expected.value.toFixed(1)} expected (${exposure.defects.expected.low.toFixed(1)} to ${exposure.defects.expected.high.toFixed(1)}); found: ${exposure.defects.open} open, ${exposure.defects.put_right} put right, ${exposure.defects.held} repairs known to have held`
            : "not drawn yet"}
        </dd>
      </div>
      <div>
        <dt>Deadlines</dt>
        <dd>
          {deadlines.total}, of which {deadlines.pressing} press; {money(deadlines.atRisk, currency)} of expected
          recovery hang on them
        </dd>
      </div>
    </dl>
  );
}

function WorstSites({ book, currency }: { book: BookLine; currency: string }) {
  if (book.worst.length === 0) return null;
  return (
    <>
      <h3>Sites with the greatest expected loss</h3>
      <Table
        label={`Sites of ${book.book}`}
        className="ranked"
        data={{ "data-worst-sites": true }}
        columns={[
          {
            name: "Site",
            className: "site",
            cell: (s) => (
              <>
                <Link href={`/exposure/sites/${encodeURIComponent(s.siteId)}`}>{s.name}</Link>{" "}
                <span className="soft">{s.siteId}</span>
              </>
            ),
          },
          { name: "Bonding defect", cell: (s) => <Probability value={s.bonding} /> },
          { name: "Expected, net", num: true, label: "Expected, net", cell: (s) => rangedMoney(s.net, currency) },
          {
            name: "Missing proof worth most",
            label: "Missing proof",
            cell: (s) => (s.missing ? `${words(s.missing.name)}, ${money(s.missing.worth, currency)}` : "none known"),
          },
        ]}
        rows={book.worst}
        keyOf={(s) => s.siteId}
      />
    </>
  );
}
