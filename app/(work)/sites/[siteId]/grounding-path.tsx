import { IfMay } from "@/app/_ui/role.tsx";
import { When } from "@/app/_ui/when.tsx";
import { Wide } from "@/app/_ui/wide.tsx";
import { GROUNDING_PATH } from "@/app/_words/site.ts";
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
    <section aria-label={GROUNDING_PATH.groundingPath} data-part="path">
      <h2>{GROUNDING_PATH.groundingPath}</h2>
      <p className="soft">
        {GROUNDING_PATH.fromEveryMetalFrame} <When at={view.asOf} />
        {GROUNDING_PATH.aLinkCountsAs}
      </p>
      <PathLegend />
      <div className="path-columns">
        <Wide label={GROUNDING_PATH.drawingOfTheGrounding}>
          <PathDrawing report={view} />
        </Wide>
        <div>
          <h3>{GROUNDING_PATH.links}</h3>
          <Links links={view.links} />
          <p className="soft">{GROUNDING_PATH.theVoltageAlongA}</p>
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
    <Wide label={GROUNDING_PATH.linksOfTheGrounding}>
      <table className="path-table" data-table="path-links">
        <thead>
          <tr>
            <th scope="col">{GROUNDING_PATH.link}</th>
            <th scope="col">{GROUNDING_PATH.statusByWhomAnd}</th>
            <th scope="col">{GROUNDING_PATH.voltageOfADc}</th>
          </tr>
        </thead>
        <tbody>
          {links.map((link) => (
            <tr key={link.id} data-status={link.status}>
              <td>
                {GROUNDING_PATH.to(link.from, link.to)}
                <br />
                <span className="soft">{GROUNDING_PATH.sizeMadeBy(link.name, link.size, link.made)}</span>
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
  if (day === null) return GROUNDING_PATH.verifiedByNobody;
  const who =
    inspector === null
      ? GROUNDING_PATH.nameNotRecorded
      : licence === null
        ? inspector
        : GROUNDING_PATH.licence(inspector, licence);
  return GROUNDING_PATH.by(who, day);
}
