import Link from "next/link";
import { Probability } from "@/app/_ui/probability.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { Wide } from "@/app/_ui/wide.tsx";
import type { PreviewView } from "@/lib/reads/parameters-view.ts";

const MOST_ROWS = 100;
type Moved = PreviewView["moved"][number];

const size = ({ before, after }: Moved) =>
  (before.urgency === after.urgency ? 0 : 10) +
  Math.max(Math.abs(before.bonding.p - after.bonding.p), Math.abs(before.energized.p - after.energized.p));

/** Sites that move, the largest move first; a change of urgency before any change of a probability. */
export function PreviewTable({ moved }: { moved: Moved[] }) {
  if (moved.length === 0) return <p className="empty">None of the sites compared would move.</p>;
  const sorted = [...moved].sort((a, b) => size(b) - size(a));
  const urgencies = moved.filter(({ before, after }) => before.urgency !== after.urgency).length;
  return (
    <>
      <p>
        <strong>{moved.length}</strong> would move, <strong>{urgencies}</strong> of them in urgency.
        {moved.length > MOST_ROWS ? ` The ${MOST_ROWS} largest moves are shown.` : ""}
      </p>
      <Wide label="Sites that would move">
        <table className="ranked" data-preview>
          <thead>
            <tr>
              <th scope="col">Site</th>
              <th scope="col">Urgency now</th>
              <th scope="col">then</th>
              <th scope="col">Bonding defect now</th>
              <th scope="col">then</th>
              <th scope="col">Energised metal now</th>
              <th scope="col">then</th>
            </tr>
          </thead>
          <tbody>
            {sorted.slice(0, MOST_ROWS).map(({ siteId, name, before, after }) => (
              <tr key={siteId}>
                <td className="site">
                  <Link href={`/sites/${encodeURIComponent(siteId)}`}>{name}</Link>
                  <br />
                  <span className="soft">{siteId}</span>
                </td>
                <td data-label="Urgency now">
                  <Urgency value={before.urgency} />
                </td>
                <td data-label="then">
                  {before.urgency === after.urgency ? "the same" : <Urgency value={after.urgency} />}
                </td>
                <td data-label="Bonding defect now">
                  <Probability value={before.bonding} />
                </td>
                <td data-label="then">
                  <Probability value={after.bonding} />
                </td>
                <td data-label="Energised metal now">
                  <Probability value={before.energized} />
                </td>
                <td data-label="then">
                  <Probability value={after.energized} />
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </>
  );
}
