import type { Inspection, Instant, Repair, SiteRecords } from "../core/records.ts";
import { linkStatus } from "./link-status.ts";
import type { PathEdge, PathLink, PathNode } from "./path-graph.ts";
import { sitePathLinks } from "./path-links.ts";

export interface BondingPath {
  nodes: PathNode[];
  edges: PathEdge[];
  /** Pieces cut off from the service ground even if every unverified link holds. Each sorted. */
  cutOff: string[][];
  /** Pieces whose way to the service ground rests on at least one unverified link. Sorted. */
  unproven: string[];
  /** Links whose loss cuts something off, among those that may hold. */
  singlePoints: string[];
  /** What the records leave open about the path. */
  gaps: { what: string; says: string }[];
  /** Records that contradict themselves, such as a section bonded to itself. */
  problems: string[];
}

/**
 * The path from every metal frame to the service ground as a graph, each link with what is known of it.
 * Records after `asOf` are not used. A link is verified only by an inspection of that very link; nothing recorded
 * and nothing inspected is a gap, never a pass.
 *
 * @shape O((nodes + edges) + edges x inspections); deterministic; inputs are not mutated
 */
export function bondingPath(records: SiteRecords, asOf: Instant): BondingPath {
  const { nodes, links, gaps, problems } = sitePathLinks(records);
  const inspections = records.inspections.filter((row: Inspection) => row.inspectedAt.at <= asOf);
  const repairs = records.repairs.filter((row: Repair) => row.repairedAt.at <= asOf);
  const edges = links.map((link) => ({ ...link, ...linkStatus(link, links, inspections, repairs, records) }));
  const mayHold = edges.filter((edge) => edge.status === "verified" || edge.status === "unverified");
  const reached = reachable("ground_bus", mayHold);
  const proven = reachable(
    "ground_bus",
    edges.filter((edge) => edge.status === "verified"),
  );
  return {
    nodes,
    edges,
    cutOff: pieces(
      nodes.map((node) => node.id).filter((id) => !reached.has(id)),
      mayHold,
    ),
    unproven: nodes
      .map((node) => node.id)
      .filter((id) => reached.has(id) && !proven.has(id))
      .sort(),
    singlePoints: mayHold
      .filter(
        (edge) =>
          !sameReach(
            reached,
            reachable(
              "ground_bus",
              mayHold.filter((other) => other !== edge),
            ),
          ),
      )
      .map((edge) => edge.id),
    gaps,
    problems,
  };
}

function reachable(start: string, edges: readonly PathLink[]): Set<string> {
  const next = new Map<string, string[]>();
  const join = (a: string, b: string) => {
    const neighbours = next.get(a);
    if (neighbours) neighbours.push(b);
    else next.set(a, [b]);
  };
  for (const edge of edges) {
    join(edge.from, edge.to);
    join(edge.to, edge.from);
  }
  const seen = new Set([start]);
  const open = [start];
  for (let id = open.pop(); id !== undefined; id = open.pop()) {
    for (const neighbour of next.get(id) ?? []) {
      if (seen.has(neighbour)) continue;
      seen.add(neighbour);
      open.push(neighbour);
    }
  }
  return seen;
}

const sameReach = (a: Set<string>, b: Set<string>) => a.size === b.size;

/** Connected pieces among some nodes. */
function pieces(ids: string[], edges: readonly PathLink[]): string[][] {
  const left = new Set(ids);
  const found: string[][] = [];
  for (const id of [...ids].sort()) {
    if (!left.has(id)) continue;
    const piece = [...reachable(id, edges)].sort();
    for (const member of piece) left.delete(member);
    found.push(piece);
  }
  return found;
}
