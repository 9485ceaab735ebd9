import Link from "next/link";
import { Empty } from "@/app/_ui/said.tsx";
import type { CoverageView } from "@/lib/reads/coverage-view.ts";
import { BookPapers } from "./book-papers.tsx";
import { ContractTable } from "./contract-table.tsx";
import { DeadlineTable } from "./deadline-table.tsx";
import { Governs } from "./governs.tsx";
import { ReminderList } from "./reminder-list.tsx";

/** Warranties and policies of a book: what is due first, then every contract with its terms. */
export function RegisterView({ view }: { view: CoverageView }) {
  const { book } = view;
  const inBook = book ? `?book=${encodeURIComponent(book)}` : "";
  return (
    <>
      <h1>Coverage</h1>
      <p className="soft">
        Warranties and policies of {book ?? "all books"}: {view.sites} sites, {view.bare} of them without a contract on
        record. Today is {view.today} (UTC); days count in each site's own zone.
      </p>
      <Governs />
      <form className="filters" method="get" aria-label="Which contracts">
        <label>
          Book
          <select name="book" defaultValue={book ?? ""}>
            <option value="">All books</option>
            {view.books.map((name) => (
              <option key={name} value={name}>
                {name}
              </option>
            ))}
          </select>
        </label>
        <label>
          Find site, contract or provider
          <input type="search" name="find" defaultValue={view.find} />
        </label>
        <button type="submit" className="button">
          Show
        </button>
        <Link className="button" href={`/coverage/calendar${inBook}`}>
          Calendar
        </Link>
      </form>
      <ReminderList reminders={view.reminders} />
      <h2>Deadlines ({view.deadlinesTotal})</h2>
      {view.deadlines.length === 0 ? (
        <Empty>
          No deadline is known: nothing is entered as discovered, and the model suspects nothing at a site with a
          contract in force. That is no clearance.
        </Empty>
      ) : (
        <DeadlineTable deadlines={view.deadlines} currency={view.currency} />
      )}
      {view.deadlinesTotal > view.deadlines.length ? (
        <p className="soft">The first {view.deadlines.length} are shown; choose a book to see fewer at once.</p>
      ) : null}
      <Troubles view={view} />
      <h2>Register ({view.contractsTotal})</h2>
      {view.contracts.length === 0 ? (
        <Empty>
          {view.find === ""
            ? "No contract is recorded here. Import coverage.csv, or enter one on the page of a site."
            : "No contract fits what was asked for."}
        </Empty>
      ) : (
        <ContractTable contracts={view.contracts} />
      )}
      {view.contractsTotal > view.contracts.length ? (
        <p className="soft">The first {view.contracts.length} are shown; use the search to reach the others.</p>
      ) : null}
      {book ? (
        <BookPapers book={book} links={view.links} reports={view.reports} month={view.today.slice(0, 7)} />
      ) : (
        <p className="soft">Choose a book for its monthly reports and its calendar link.</p>
      )}
    </>
  );
}

function Troubles({ view }: { view: CoverageView }) {
  if (view.troubles.length === 0) return null;
  return (
    <section aria-label="To settle">
      <h2>To settle ({view.troubles.length})</h2>
      {view.troubles.slice(0, 20).map((t) => (
        <p key={`${t.what} ${t.siteId} ${t.coverageIds.join(" ")}`} className="note gap" data-trouble={t.what}>
          <Link href={`/coverage/sites/${encodeURIComponent(t.siteId)}`}>{t.siteId}</Link>: {t.says}
        </p>
      ))}
      {view.troubles.length > 20 ? <p className="soft">{view.troubles.length - 20} more.</p> : null}
    </section>
  );
}
