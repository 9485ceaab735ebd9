import Link from "next/link";
import { FixState, wetHoursText } from "@/app/_ui/fix-state.tsx";
import { words } from "@/app/_ui/format.ts";
import { Probability } from "@/app/_ui/probability.tsx";
import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import type { FixLine, OpenFixesView } from "@/lib/reads/fixes-view.ts";
import type { VisitsQuery } from "@/lib/reads/visits-view.ts";
import { FixesPaging } from "./list-parts.tsx";

/** Repairs that are not known to have held; those whose trips go on come first. */
export function OpenFixes({ view, query }: { view: OpenFixesView; query: VisitsQuery }) {
  const { fixes, total } = view;
  return (
    <>
      <h2 id="repairs-under-watch">Repairs under watch ({total.toLocaleString("en-US")})</h2>
      <p className="soft">
        A repair leaves this list only when it is known to have held. Silence alone is no proof; trips in the wet open
        it again by themselves.
      </p>
      {total === 0 ? <Empty>No repair of a named cause is under watch.</Empty> : <FixTable fixes={fixes} />}
      <FixesPaging view={view} query={query} />
    </>
  );
}

function FixTable({ fixes }: { fixes: FixLine[] }) {
  return (
    <Table
      label="Repairs under watch"
      className="ranked"
      data={{ "data-open-fixes": true }}
      columns={[
        {
          name: "Site",
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
          name: "Repair",
          cell: (f) => (
            <>
              {words(f.cause)}, {f.day}
              {f.place ? `, ${f.place}` : ""}
            </>
          ),
        },
        { name: "State", cell: (f) => <FixState fix={f} /> },
        { name: "Defect still there", label: "Defect still there", cell: (f) => <Probability value={f.stillThere} /> },
        {
          name: "Wet faults, before and after",
          label: "Wet faults",
          cell: (f) => (
            <>
              {f.before.wetEpisodes} in {Math.round(f.before.wetHours)} h, {f.after.wetEpisodes} in{" "}
              {Math.round(f.after.wetHours)} h
            </>
          ),
        },
        { name: "Wet hours to 95 %", label: "To 95 %", cell: (f) => wetHoursText(f) },
      ]}
      rows={fixes}
      keyOf={(f) => `${f.siteId}/${f.repairedAt}/${f.cause}/${f.place}`}
    />
  );
}
