import Link from "next/link";
import { money } from "@/app/_ui/format.ts";
import { Empty } from "@/app/_ui/said.tsx";
import { EXPOSURE_VIEW } from "@/app/_words/exposure.ts";
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
      <h1>{EXPOSURE_VIEW.exposure}</h1>
      <p className="soft">{EXPOSURE_VIEW.whatTheOwnerStands}</p>
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
        <Empty>{EXPOSURE_VIEW.theFiguresAppearHere}</Empty>
      ) : (
        <>
          <h2>{EXPOSURE_VIEW.booksAtAGlance}</h2>
          <BookTable books={[...d.books, whole]} currency={currency} />
          <p className="soft">
            {EXPOSURE_VIEW.inBracketsTheSame(
              money(whole.expected_gross.value, currency),
              money(whole.expected_gross.value - whole.expected_net.value, currency),
            )}{" "}
            <Link href="/books">{EXPOSURE_VIEW.asTheOwnersOf}</Link>
          </p>
          {d.remarks.map((says) => (
            <p key={says} className="note gap">
              {says}
            </p>
          ))}
          <h2>{EXPOSURE_VIEW.theComingYearAll}</h2>
          <ExceedanceChart book={whole} currency={currency} />
          <TailTable book={whole} currency={currency} />
          <HeavyTail book={whole} />
          <h2>{EXPOSURE_VIEW.whatIf}</h2>
          <WhatIfs book={null} sites={d.sites.map((s) => s.site_id)} installers={installers} currency={currency} />
          <h2>{EXPOSURE_VIEW.sitesWithTheGreatest}</h2>
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
