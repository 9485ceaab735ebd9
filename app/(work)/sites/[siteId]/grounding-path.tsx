import { PhoneFold } from "@/app/_ui/phone-fold.tsx";
import { IfMay } from "@/app/_ui/role.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { When } from "@/app/_ui/when.tsx";
import { Wide } from "@/app/_ui/wide.tsx";
import { GROUNDING_PATH } from "@/app/_words/site-path.ts";
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
      <PhoneFold title={GROUNDING_PATH.drawingAndLinks} level={3}>
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
      </PhoneFold>
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
    <Table
      label={GROUNDING_PATH.linksOfTheGrounding}
      className="path-table"
      phone="cards"
      data={{ "data-table": "path-links" }}
      rowData={(link) => ({ "data-status": link.status })}
      columns={[
        {
          name: GROUNDING_PATH.link,
          cell: (link) => (
            <>
              {GROUNDING_PATH.to(link.from, link.to)}
              <br />
              <span className="soft">{GROUNDING_PATH.sizeMadeBy(link.name, link.size, link.made)}</span>
            </>
          ),
        },
        {
          name: GROUNDING_PATH.statusByWhomAnd,
          label: "",
          cell: (link) => (
            <>
              <LinkState status={link.status} />
              <br />
              <span className="soft">{link.says}</span>
              <br />
              {whoText(link)}
            </>
          ),
        },
        { name: GROUNDING_PATH.voltageOfADc, cell: (link) => link.touch },
      ]}
      rows={links}
      keyOf={(link) => link.id}
    />
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
