import Link from "next/link";
import { FixState, wetHoursText } from "@/app/_ui/fix-state.tsx";
import { words } from "@/app/_ui/format.ts";
import { Probability } from "@/app/_ui/probability.tsx";
import { Wide } from "@/app/_ui/wide.tsx";
import type { FixLine } from "@/lib/reads/fixes-view.ts";

/** Repairs that are not known to have held; those whose trips go on come first. */
export function OpenFixes({ fixes }: { fixes: FixLine[] }) {
  return (
    <>
      <h2 id="repairs-under-watch">Repairs under watch ({fixes.length})</h2>
      <p className="soft">
        A repair leaves this list only when it is known to have held. Silence alone is no proof; trips in the wet open
        it again by themselves.
      </p>
      {fixes.length === 0 ? (
        <p className="empty">No repair of a named cause is under watch.</p>
      ) : (
        <Table fixes={fixes} />
      )}
    </>
  );
}

function Table({ fixes }: { fixes: FixLine[] }) {
  return (
    <Wide label="Repairs under watch">
      <table className="ranked" data-open-fixes>
        <thead>
          <tr>
            <th scope="col">Site</th>
            <th scope="col">Repair</th>
            <th scope="col">State</th>
            <th scope="col">Defect still there</th>
            <th scope="col">Wet faults, before and after</th>
            <th scope="col">Wet hours to 95 %</th>
          </tr>
        </thead>
        <tbody>
          {fixes.map((f) => (
            <tr key={`${f.siteId}/${f.repairedAt}/${f.cause}/${f.place}`}>
              <td className="site">
                <Link href={`/sites/${encodeURIComponent(f.siteId)}`}>{f.siteName}</Link>
                <br />
                <span className="soft">{f.siteId}</span>
              </td>
              <td>
                {words(f.cause)}, {f.day}
                {f.place ? `, ${f.place}` : ""}
              </td>
              <td>
                <FixState fix={f} />
              </td>
              <td data-label="Defect still there">
                <Probability value={f.stillThere} />
              </td>
              <td data-label="Wet faults">
                {f.before.wetEpisodes} in {Math.round(f.before.wetHours)} h, {f.after.wetEpisodes} in{" "}
                {Math.round(f.after.wetHours)} h
              </td>
              <td data-label="To 95 %">{wetHoursText(f)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
