import Link from "next/link";
import { money } from "@/app/_ui/format.ts";
import { Empty } from "@/app/_ui/said.tsx";
import type { ExposureView as View } from "@/lib/reads/exposure-view.ts";
import { Assumptions } from "./assumptions.tsx";
import { BookTable, HeavyTail, TailTable } from "./book-table.tsx";
import { Cautions } from "./cautions.tsx";
import { Currencies } from "./currencies.tsx";
import { ExceedanceChart } from "./exceedance-chart.tsx";
import { MissingProof } from "./missing-proof.tsx";
import { RunPanel } from "./run-panel.tsx";
import { SerialTable } from "./serial-table.tsx";
import { SiteTable } from "./site-table.tsx";
import { Trend } from "./trend.tsx";
import { WhatIfs } from "./what-ifs.tsx";

const TOP = 12;

export function ExposureView({ view }: { view: View }) {
  const { document: d, installers, run, staleSites } = view;
  const { whole, currency } = d;
  const shortfall = whole?.tail.find((t) => t.level === 0.975)?.expected_shortfall.value ?? 0;
  return (
    <>
      <h1>Exposure</h1>
      <p className="soft">
        What the owner stands to lose in the coming year if nobody goes, by book of sites, before and after what
        warranties and policies may pay.
      </p>
      <Cautions says={d.cautions} />
      <RunPanel
        first={run}
        stale={d.stale}
        staleSites={staleSites}
        computedAt={d.computed_at}
        years={d.years}
        parameters={d.parameter_version}
      />
      {whole === null ? (
        <Empty>The figures appear here once the sites are scored and the coming year is drawn.</Empty>
      ) : (
        <>
          <h2>Books at a glance</h2>
          <BookTable books={[...d.books, whole]} currency={currency} />
          <p className="soft">
            In brackets: the same with every site's bonding probability at its 5 % and 95 % point at once, because the
            parameters behind them are one set. Of {money(whole.expected_gross.value, currency)} gross,{" "}
            {money(whole.expected_gross.value - whole.expected_net.value, currency)} may be recovered.{" "}
            <Link href="/books">As the owners of the books see them</Link>
          </p>
          {d.remarks.map((says) => (
            <p key={says} className="note gap">
              {says}
            </p>
          ))}
          <h2>The coming year, all books</h2>
          <ExceedanceChart book={whole} currency={currency} />
          <TailTable book={whole} currency={currency} />
          <HeavyTail book={whole} />
          <h2>What if</h2>
          <WhatIfs book={null} sites={d.sites.map((s) => s.site_id)} installers={installers} currency={currency} />
          <h2>Sites with the greatest part in the tail</h2>
          <SiteTable sites={d.sites.slice(0, TOP)} currency={currency} of="whole" shortfall={shortfall} />
          <MissingProof book={whole} currency={currency} />
          <SerialTable serial={d.serial} />
          <Trend trend={whole.trend} />
        </>
      )}
      <Currencies currencies={view.currencies} own={currency} />
      <Assumptions rows={view.assumptions} />
    </>
  );
}
