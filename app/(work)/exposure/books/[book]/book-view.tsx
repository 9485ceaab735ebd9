import Link from "next/link";
import { money, rangedMoney } from "@/app/_ui/format.ts";
import { Empty } from "@/app/_ui/said.tsx";
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
        <Link href="/exposure">Exposure</Link>
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
          <h2>The coming year</h2>
          <ExceedanceChart book={book} currency={d.currency} />
          <TailTable book={book} currency={d.currency} />
          <HeavyTail book={book} />
          <h2>What if</h2>
          <WhatIfs book={name} sites={d.sites.map((s) => s.site_id)} installers={installers} currency={d.currency} />
          <h2>Sites</h2>
          <p className="soft">
            The parts are each site's mean loss in the book's worst years; together they give its expected shortfall.
            {book.sites > d.sites.length ? ` The first ${d.sites.length} of ${book.sites} are shown.` : ""}
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
        <Empty>Nothing was drawn of this book yet.</Empty>
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
        <dt>Expected loss of the coming year, net</dt>
        <dd>
          <strong>{rangedMoney(book.expected_net, currency)}</strong>
        </dd>
      </div>
      <div>
        <dt>Gross, and what may be recovered of it</dt>
        <dd>
          {rangedMoney(book.expected_gross, currency)};{" "}
          {money(book.expected_gross.value - book.expected_net.value, currency)}
        </dd>
      </div>
      <div>
        <dt>Sites</dt>
        <dd>{book.sites}</dd>
      </div>
      <div>
        <dt>Sites expected to have a bonding or grounding defect</dt>
        <dd>
          {expected.value.toFixed(1)} ({expected.low.toFixed(1)} to {expected.high.toFixed(1)})
        </dd>
      </div>
      <div>
        <dt>Failed checks on record</dt>
        <dd>
          {open} open, {put_right} followed by a pass or a repair; {held} repairs known to have held
        </dd>
      </div>
    </dl>
  );
}
