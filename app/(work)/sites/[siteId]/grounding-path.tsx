import { IfMay } from "@/app/_ui/role.tsx";
import { When } from "@/app/_ui/when.tsx";
import { Wide } from "@/app/_ui/wide.tsx";
import type { LinkLine } from "@/lib/grounding/path-report.ts";
import type { GroundingPathView } from "@/lib/reads/grounding-path-view.ts";
import type { PathEditView } from "@/lib/reads/path-edit-view.ts";
import { PathConductors } from "./path-conductors.tsx";
import { PathDrawing, PathLegend } from "./path-drawing.tsx";
import { PathEditor } from "./path-editor.tsx";
import { PathFindings } from "./path-findings.tsx";
import { LinkState } from "./path-mark.tsx";

/** The way of every frame to the service ground: drawn, in a table, and what follows from it. */
export function GroundingPath({ view, edit }: { view: GroundingPathView; edit: PathEditView | null }) {
  return (
    <section aria-label="Grounding path" data-part="path">
      <h2>Grounding path</h2>
      <p className="soft">
        From every metal frame to the service ground, as recorded and inspected up to <When at={view.asOf} />. A link
        counts as verified only by an inspection of that very link. Treat all metal as live whatever is drawn here. Roof
        above, earth below; thin lines only lead from a box to its links.
      </p>
      <PathLegend />
      <div className="path-columns">
        <Wide label="Drawing of the grounding path">
          <PathDrawing report={view} />
        </Wide>
        <div>
          <h3>Links</h3>
          <Links links={view.links} />
          <p className="soft">
            The voltage along a link is the current a DC fault can send times the resistance read there, for verified
            and measured links only. Anything else may stand at whatever the array puts to ground. An AC fault is not in
            it.
          </p>
        </div>
      </div>
      {edit ? (
        <IfMay operation="path.write">
          <PathEditor view={edit} />
        </IfMay>
      ) : null}
      <PathFindings report={view} />
      <PathConductors report={view} />
    </section>
  );
}

function Links({ links }: { links: LinkLine[] }) {
  return (
    <Wide label="Links of the grounding path">
      <table className="path-table" data-table="path-links">
        <thead>
          <tr>
            <th scope="col">Link</th>
            <th scope="col">Status, by whom and when</th>
            <th scope="col">Voltage of a DC fault</th>
          </tr>
        </thead>
        <tbody>
          {links.map((link) => (
            <tr key={link.id} data-status={link.status}>
              <td>
                {link.from} to {link.to}
                <br />
                <span className="soft">
                  {link.name}, size {link.size}, made by: {link.made}
                </span>
              </td>
              <td>
                <LinkState status={link.status} />
                <br />
                <span className="soft">{link.says}</span>
                <br />
                {whoText(link)}
              </td>
              <td>{link.touch}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

function whoText({ day, inspector, licence }: LinkLine): string {
  if (day === null) return "Verified by nobody";
  const who =
    inspector === null ? "name not recorded" : licence === null ? inspector : `${inspector}, licence ${licence}`;
  return `By ${who}, ${day}`;
}
