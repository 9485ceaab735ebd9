import Link from "next/link";
import { FixState, wetHoursText } from "@/app/_ui/fix-state.tsx";
import { words } from "@/app/_ui/format.ts";
import { Probability } from "@/app/_ui/probability.tsx";
import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { OPEN_FIXES } from "@/app/_words/visits.ts";
import type { FixLine, OpenFixesView } from "@/lib/reads/fixes-view.ts";
import type { VisitsQuery } from "@/lib/reads/visits-view.ts";
import { FixesPaging } from "./list-parts.tsx";

/** Repairs that are not known to have held; those whose trips go on come first. */
export function OpenFixes({ view, query }: { view: OpenFixesView; query: VisitsQuery }) {
  const { fixes, total } = view;
  return (
    <>
      <h2 id="repairs-under-watch">{OPEN_FIXES.repairsUnderWatch(total)}</h2>
      <p className="soft">{OPEN_FIXES.aRepairLeavesThis}</p>
      {total === 0 ? <Empty>{OPEN_FIXES.noRepairOfA}</Empty> : <FixTable fixes={fixes} />}
      <FixesPaging view={view} query={query} />
    </>
  );
}

function FixTable({ fixes }: { fixes: FixLine[] }) {
  return (
    <Table
      label={OPEN_FIXES.repairsUnderWatch2}
      className="ranked"
      data={{ "data-open-fixes": true }}
      columns={[
        {
          name: OPEN_FIXES.site,
          className: "site",
          cell: (f) => (
            <>
              <Link href={`/sites/${encodeURIComponent(f.siteId)}`}>{f.siteName}</Link>
              <br />
              <span className="soft">{f.siteId}</span>
            </>
          ),
        },
        {
          name: OPEN_FIXES.repair,
          cell: (f) => (
            <>
              {words(f.cause)}, {f.day}
              {f.place ? `, ${f.place}` : ""}
            </>
          ),
        },
        { name: OPEN_FIXES.state, cell: (f) => <FixState fix={f} /> },
        {
          name: OPEN_FIXES.defectStillThere,
          label: OPEN_FIXES.defectStillThere,
          cell: (f) => <Probability value={f.stillThere} />,
        },
        {
          name: OPEN_FIXES.wetFaultsBeforeAnd,
          label: OPEN_FIXES.wetFaults,
          cell: (f) => (
            <>
              {OPEN_FIXES.inHInH(
                f.before.wetEpisodes,
                Math.round(f.before.wetHours),
                f.after.wetEpisodes,
                Math.round(f.after.wetHours),
              )}
            </>
          ),
        },
        { name: OPEN_FIXES.wetHoursTo, label: OPEN_FIXES.to, cell: (f) => wetHoursText(f) },
      ]}
      rows={fixes}
      keyOf={(f) => `${f.siteId}/${f.repairedAt}/${f.cause}/${f.place}`}
    />
  );
}
