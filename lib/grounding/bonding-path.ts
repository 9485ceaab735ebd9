import type { Inspection, Instant, Repair, SiteRecords } from "../core/records.ts";
import { linkStatus, partStatus } from "./link-status.ts";
import type { PathEdge, PathNode } from "./path-graph.ts";
import { sitePathLinks } from "./path-links.ts";
import { connectedPieces, reachableFrom, type SinglePoint, singlePoints } from "./path-pieces.ts";
import { placeOfReading } from "./voltage-first.ts";

export interface BondingPath {
  nodes: PathNode[];
  edges: PathEdge[];
  /** Links that further pieces split into the edges that name them as their run, with what is known of them whole. */
  runs: PathEdge[];
  /** Pieces cut off from the service ground even if every unverified link holds. Each sorted. */
  cutOff: string[][];
  /** Pieces whose way to the service ground rests on at least one unverified link. Sorted. */
  unproven: string[];
  /** Links whose loss alone cuts something off, among those that may hold, with what each would cut off. */
  singlePoints: SinglePoint[];
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
 * @shape O(nodes + edges x inspections); deterministic; inputs are not mutated
 */
export function bondingPath(records: SiteRecords, asOf: Instant): BondingPath {
  const { nodes, links, runs: whole, gaps, problems } = sitePathLinks(records);
  const inspections = records.inspections.filter((row: Inspection) => row.inspectedAt.at <= asOf);
  const repairs = records.repairs.filter((row: Repair) => row.repairedAt.at <= asOf);
  const atPlace = new Map<string, Inspection[]>();
  for (const row of inspections) {
    const place = placeOfReading(row);
    const rows = atPlace.get(place);
    if (rows) rows.push(row);
    else atPlace.set(place, [row]);
  }
  // A record that names no points means a conductor from end to end, whatever stands in it.
  const ends = [...links.filter((link) => link.run === undefined), ...whole];
  const known = { links: ends, inspections, atPlace, repairs, records };
  const runs = whole.map((link) => ({ ...link, ...linkStatus(link, known) }));
  const edges = links.map((link): PathEdge => {
    const run = runs.find((each) => each.id === link.run);
    return { ...link, ...(run ? partStatus(link, run, known) : linkStatus(link, known)) };
  });
  const mayHold = edges.filter((edge) => edge.status === "verified" || edge.status === "unverified");
  const reached = reachableFrom("ground_bus", mayHold);
  const verified = edges.filter((edge) => edge.status === "verified");
  const proven = reachableFrom("ground_bus", verified);
  const ids = nodes.map((node) => node.id);
  return {
    nodes,
    edges,
    runs,
    cutOff: connectedPieces(
      ids.filter((id) => !reached.has(id)),
      mayHold,
    ),
    unproven: ids.filter((id) => reached.has(id) && !proven.has(id)).sort(),
    singlePoints: singlePoints("ground_bus", mayHold),
    gaps,
    problems,
  };
}
