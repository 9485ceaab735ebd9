import Link from "next/link";
import { Probability } from "@/app/_ui/probability.tsx";
import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { PREVIEW_TABLE } from "@/app/_words/parameters.ts";
import type { PreviewView } from "@/lib/reads/parameters-view.ts";

const MOST_ROWS = 100;
type Moved = PreviewView["moved"][number];

const size = ({ before, after }: Moved) =>
  (before.urgency === after.urgency ? 0 : 10) +
  Math.max(Math.abs(before.bonding.p - after.bonding.p), Math.abs(before.energized.p - after.energized.p));

/** Sites that move, the largest move first; a change of urgency before any change of a probability. */
export function PreviewTable({ moved }: { moved: Moved[] }) {
  if (moved.length === 0) return <Empty>{PREVIEW_TABLE.noneOfTheSites}</Empty>;
  const sorted = [...moved].sort((a, b) => size(b) - size(a));
  const urgencies = moved.filter(({ before, after }) => before.urgency !== after.urgency).length;
  return (
    <>
      <p>
        <strong>{moved.length}</strong> {PREVIEW_TABLE.wouldMove} <strong>{urgencies}</strong>{" "}
        {PREVIEW_TABLE.ofThemInUrgency(moved.length > MOST_ROWS ? PREVIEW_TABLE.theLargestMovesAre(MOST_ROWS) : "")}
      </p>
      <Table
        label={PREVIEW_TABLE.sitesThatWouldMove}
        className="ranked"
        data={{ "data-preview": true }}
        columns={[
          {
            name: PREVIEW_TABLE.site,
            className: "site",
            cell: ({ siteId, name }) => (
              <>
                <Link href={`/sites/${encodeURIComponent(siteId)}`}>{name}</Link>
                <br />
                <span className="soft">{siteId}</span>
              </>
            ),
          },
          {
            name: PREVIEW_TABLE.urgencyNow,
            label: PREVIEW_TABLE.urgencyNow,
            cell: ({ before }) => <Urgency value={before.urgency} />,
          },
          {
            name: "then",
            label: "then",
            cell: ({ before, after }) =>
              before.urgency === after.urgency ? PREVIEW_TABLE.theSame : <Urgency value={after.urgency} />,
          },
          {
            name: PREVIEW_TABLE.bondingDefectNow,
            label: PREVIEW_TABLE.bondingDefectNow,
            cell: ({ before }) => <Probability value={before.bonding} />,
          },
          { name: "then", label: "then", cell: ({ after }) => <Probability value={after.bonding} /> },
          {
            name: PREVIEW_TABLE.energisedMetalNow,
            label: PREVIEW_TABLE.energisedMetalNow,
            cell: ({ before }) => <Probability value={before.energized} />,
          },
          { name: "then", label: "then", cell: ({ after }) => <Probability value={after.energized} /> },
        ]}
        rows={sorted.slice(0, MOST_ROWS)}
        keyOf={({ siteId }) => siteId}
      />
    </>
  );
}
