import Link from "next/link";
import { money, rangedMoney } from "@/app/_ui/format.ts";
import { Empty } from "@/app/_ui/said.tsx";
import { BOOK_VIEW } from "@/app/_words/exposure.ts";
import type { BookResult } from "@/lib/reads/exposure-stored.ts";
import type { ExposureView } from "@/lib/reads/exposure-view.ts";
import { Assumptions } from "../../assumptions.tsx";
import { HeavyTail, TailTable } from "../../book-table.tsx";
import { Cautions } from "../../cautions.tsx";
import { ExceedanceChart } from "../../exceedance-chart.tsx";
import { MissingProof } from "../../missing-proof.tsx";
import { RunPanel } from "../../run-panel.tsx";
import { SiteTable } from "../../site-table.tsx";
import { Trend } from "../../trend.tsx";
import { WhatIfs } from "../../what-ifs.tsx";

export function BookView({ view, book: name }: { view: ExposureView; book: string }) {
  const { document: d, installers } = view;
  const [book] = d.books;
  return (
    <>
      <p>
        <Link href="/exposure">{BOOK_VIEW.exposure}</Link>
      </p>
      <h1>{name}</h1>
      <Cautions says={d.cautions} />
      <RunPanel
        first={view.run}
        stale={d.stale}
        staleSites={view.staleSites}
        computedAt={d.computed_at}
        years={d.years}
        parameters={d.parameter_version}
      />
      {book ? (
        <>
          <Facts book={book} currency={d.currency} />
          <h2>{BOOK_VIEW.theComingYear}</h2>
          <ExceedanceChart book={book} currency={d.currency} />
          <TailTable book={book} currency={d.currency} />
          <HeavyTail book={book} />
          <h2>{BOOK_VIEW.whatIf}</h2>
          <WhatIfs book={name} sites={d.sites.map((s) => s.site_id)} installers={installers} currency={d.currency} />
          <h2>{BOOK_VIEW.sites}</h2>
          <p className="soft">
            {BOOK_VIEW.thePartsAreEach(
              book.sites > d.sites.length ? BOOK_VIEW.theFirstOfAre(d.sites.length, book.sites) : "",
            )}
          </p>
          <SiteTable
            sites={d.sites}
            currency={d.currency}
            of="book"
            shortfall={book.tail.find((t) => t.level === 0.975)?.expected_shortfall.value ?? 0}
          />
          <MissingProof book={book} currency={d.currency} />
          <Trend trend={book.trend} />
        </>
      ) : (
        <Empty>{BOOK_VIEW.nothingWasDrawnOf}</Empty>
      )}
      <Assumptions rows={view.assumptions} />
    </>
  );
}

function Facts({ book, currency }: { book: BookResult; currency: string }) {
  const { expected, open, put_right, held } = book.defects;
  return (
    <dl className="facts" data-book-facts>
      <div>
        <dt>{BOOK_VIEW.expectedLossOfThe}</dt>
        <dd>
          <strong>{rangedMoney(book.expected_net, currency)}</strong>
        </dd>
      </div>
      <div>
        <dt>{BOOK_VIEW.grossAndWhatMay}</dt>
        <dd>
          {rangedMoney(book.expected_gross, currency)};{" "}
          {money(book.expected_gross.value - book.expected_net.value, currency)}
        </dd>
      </div>
      <div>
        <dt>{BOOK_VIEW.sites}</dt>
        <dd>{book.sites}</dd>
      </div>
      <div>
        <dt>{BOOK_VIEW.sitesExpectedToHave}</dt>
        <dd>{BOOK_VIEW.to(expected.value.toFixed(1), expected.low.toFixed(1), expected.high.toFixed(1))}</dd>
      </div>
      <div>
        <dt>{BOOK_VIEW.failedChecksOnRecord}</dt>
        <dd>{BOOK_VIEW.openFollowedByA(open, put_right, held)}</dd>
      </div>
    </dl>
  );
}
