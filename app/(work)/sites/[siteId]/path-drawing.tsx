import { PATH_DRAWING } from "@/app/_words/site-path.ts";
import type { LaidLink } from "@/lib/grounding/path-layout.ts";
import type { LinkLine, PathReport } from "@/lib/grounding/path-report.ts";
import { LinkState, PathMark, STATUS_WORDS } from "./path-mark.tsx";

const STATUSES = ["verified", "unverified", "failed", "missing"] as const;
const LABEL_CHARS = 27;

const shortened = (text: string) => (text.length > LABEL_CHARS ? `${text.slice(0, LABEL_CHARS - 1)}…` : text);

/** The path as a drawing at its own size; the table beside it says the same in words. */
export function PathDrawing({ report }: { report: PathReport }) {
  const { layout } = report;
  const labels = new Map(report.nodes.map((node) => [node.id, node.label]));
  const lines = new Map(report.links.map((link) => [link.id, link]));
  const statusOf = (id: string) => (lines.get(id) as LinkLine).status;
  return (
    <svg
      className="path-drawing"
      width={layout.width}
      height={layout.height}
      viewBox={`0 0 ${layout.width} ${layout.height}`}
      role="img"
      aria-label={PATH_DRAWING.bondingPathTheTable(countsOf(report))}
    >
      {layout.trunks.map(({ nodeId, x, fromY, toY }) => (
        <path key={`${nodeId}/${fromY}`} className="trunk" d={`M${x} ${fromY}V${toY}`} />
      ))}
      {layout.links.map((link) => (
        <Stroke key={link.id} link={link} status={statusOf(link.id)} />
      ))}
      {layout.nodes.map((node) => (
        <g key={node.id} data-node={node.id}>
          <title>{labels.get(node.id)}</title>
          <rect className="piece" x={node.x} y={node.y} width={node.width} height={node.height} rx="3" />
          <text className="piece-name" x={node.x + 8} y={node.y + 17}>
            {shortened(labels.get(node.id) ?? node.id)}
          </text>
          {node.lines.map(({ linkId, y }) => (
            <g key={linkId}>
              <PathMark status={statusOf(linkId)} x={node.x + 15} y={y} />
              <text className="link-word" x={node.x + 27} y={y + 4}>
                {lines.get(linkId)?.short} {STATUS_WORDS[statusOf(linkId)]}
              </text>
            </g>
          ))}
        </g>
      ))}
    </svg>
  );
}

function Stroke({ link, status }: { link: LaidLink; status: LinkLine["status"] }) {
  const d = link.points.map(({ x, y }, i) => `${i === 0 ? "M" : "L"}${x} ${y}`).join("");
  return (
    <path
      className={`path-link ${status}`}
      data-link={link.id}
      d={d}
      pathLength={status === "missing" ? 100 : undefined}
    />
  );
}

function countsOf({ links, nodes }: PathReport): string {
  const counts = STATUSES.map((status) => {
    const n = links.filter((link) => link.status === status).length;
    return `${n} ${STATUS_WORDS[status]}`;
  });
  return PATH_DRAWING.piecesOfMetalLinks(nodes.length, counts.join(", "));
}

/** What the lines of the drawing mean. */
export function PathLegend() {
  return (
    <ul className="path-legend">
      {STATUSES.map((status) => (
        <li key={status}>
          <svg width="46" height="16" aria-hidden="true">
            <path className={`path-link ${status}`} d="M2 8L44 8" pathLength={status === "missing" ? 100 : undefined} />
          </svg>{" "}
          <LinkState status={status} />
        </li>
      ))}
    </ul>
  );
}
