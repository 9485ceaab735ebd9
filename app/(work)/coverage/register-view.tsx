import Link from "next/link";
import { Empty } from "@/app/_ui/said.tsx";
import { REGISTER_VIEW } from "@/app/_words/coverage.ts";
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
      <h1>{REGISTER_VIEW.coverage}</h1>
      <p className="soft">
        {REGISTER_VIEW.warrantiesAndPoliciesOf(book ?? REGISTER_VIEW.allBooks, view.sites, view.bare, view.today)}
      </p>
      <Governs />
      <form className="filters" method="get" aria-label={REGISTER_VIEW.whichContracts}>
        <label>
          {REGISTER_VIEW.book}
          <select name="book" defaultValue={book ?? ""}>
            <option value="">{REGISTER_VIEW.allBooks2}</option>
            {view.books.map((name) => (
              <option key={name} value={name}>
                {name}
              </option>
            ))}
          </select>
        </label>
        <label>
          {REGISTER_VIEW.findSiteContractOr}
          <input type="search" name="find" defaultValue={view.find} />
        </label>
        <button type="submit" className="button">
          {REGISTER_VIEW.show}
        </button>
        <Link className="button" href={`/coverage/calendar${inBook}`}>
          {REGISTER_VIEW.calendar}
        </Link>
      </form>
      <ReminderList reminders={view.reminders} />
      <h2>{REGISTER_VIEW.deadlines(view.deadlinesTotal)}</h2>
      {view.deadlines.length === 0 ? (
        <Empty>{REGISTER_VIEW.noDeadlineIsKnown}</Empty>
      ) : (
        <DeadlineTable deadlines={view.deadlines} currency={view.currency} />
      )}
      {view.deadlinesTotal > view.deadlines.length ? (
        <p className="soft">{REGISTER_VIEW.theFirstAreShown(view.deadlines.length)}</p>
      ) : null}
      <Troubles view={view} />
      <h2>{REGISTER_VIEW.register(view.contractsTotal)}</h2>
      {view.contracts.length === 0 ? (
        <Empty>{view.find === "" ? REGISTER_VIEW.noContractIsRecorded : REGISTER_VIEW.noContractFitsWhat}</Empty>
      ) : (
        <ContractTable contracts={view.contracts} />
      )}
      {view.contractsTotal > view.contracts.length ? (
        <p className="soft">{REGISTER_VIEW.theFirstAreShownUse(view.contracts.length)}</p>
      ) : null}
      {book ? (
        <BookPapers book={book} links={view.links} reports={view.reports} month={view.today.slice(0, 7)} />
      ) : (
        <p className="soft">{REGISTER_VIEW.chooseABookFor}</p>
      )}
    </>
  );
}

function Troubles({ view }: { view: CoverageView }) {
  if (view.troubles.length === 0) return null;
  return (
    <section aria-label={REGISTER_VIEW.toSettle}>
      <h2>{REGISTER_VIEW.toSettle2(view.troubles.length)}</h2>
      {view.troubles.slice(0, 20).map((t) => (
        <p key={`${t.what} ${t.siteId} ${t.coverageIds.join(" ")}`} className="note gap" data-trouble={t.what}>
          <Link href={`/coverage/sites/${encodeURIComponent(t.siteId)}`}>{t.siteId}</Link>: {t.says}
        </p>
      ))}
      {view.troubles.length > 20 ? <p className="soft">{REGISTER_VIEW.more(view.troubles.length - 20)}</p> : null}
    </section>
  );
}
