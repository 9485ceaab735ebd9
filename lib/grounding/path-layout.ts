import type { PathLink, PathLinkKind, PathNode, PathNodeKind } from "./path-graph.ts";
import { type PathTree, pathTree } from "./path-tree.ts";

export interface Point {
  x: number;
  y: number;
}

/** The box of a piece of metal. Lengths in pixels of a drawing at its own size. */
export interface LaidNode {
  id: string;
  x: number;
  y: number;
  width: number;
  height: number;
  /** Links told inside this box, with the middle of their line of text; each link in exactly one box. */
  lines: { linkId: string; y: number }[];
}

/** A link as a polyline between the boxes it joins. */
export interface LaidLink {
  id: string;
  points: Point[];
}

/** A bar that stands for the metal of a piece itself, from its box to the ends of the links that hang on it. */
export interface Trunk {
  nodeId: string;
  x: number;
  fromY: number;
  toY: number;
}

export interface PathLayout {
  width: number;
  height: number;
  nodes: LaidNode[];
  links: LaidLink[];
  trunks: Trunk[];
}

const INDENT = 46;
const TRUNK_AT = 14;
const HEAD = 24;
const LINE = 18;
const PORT = 12;
const PAD = 6;
const GAP = 12;
const MARGIN = 4;
const BOX_WIDTH = 196;
const LANE = 12;
const FIRST_LANE = 14;
/** These stand in the earth and are drawn below the piece that they hang on. */
const IN_EARTH: ReadonlySet<PathNodeKind> = new Set([
  "electrode",
  "array_electrode",
  "battery_electrode",
  "further_electrode",
]);
/** Which link a piece is hung on where it has several: the one that a current would take by design. */
const HUNG_BY: Record<PathLinkKind, number> = {
  gec: 0,
  array_electrode_bond: 1,
  battery_bond: 1,
  inverter_egc: 2,
  section_egc: 3,
  section_bond: 4,
  battery_gec: 2,
  further_bond: 5,
  piece_bond: 6,
  other_metal_bond: 7,
};

/**
 * Where to draw a bonding path so that it fits a phone: one row a piece, the roof above, the service ground below it
 * and what stands in the earth at the foot, indented by how many links lie between a piece and the service ground.
 * A tree of links runs on the left of the boxes; every further link has a lane of its own on the right.
 *
 * @returns boxes that never overlap, and every link exactly once, with its ends on the edges of its two boxes
 * @throws RangeError when a link names a piece that is not there, or two pieces share a name
 * @shape O(nodes x links); deterministic; inputs are not mutated
 */
export function pathLayout(nodes: readonly PathNode[], links: readonly PathLink[]): PathLayout {
  const tree = pathTree(nodes, links, (link) => HUNG_BY[link.kind]);
  const rows = rowsOf(nodes, tree);
  const rightX = MARGIN + INDENT * Math.max(0, ...rows.map((id) => tree.depth.get(id) as number)) + BOX_WIDTH;
  const laid = new Map<string, LaidNode>();
  const ports = new Map<string, number>();
  let y = MARGIN;
  for (const id of rows) {
    const box = boxOf(id, { tree, y, rightX });
    laid.set(id, box.node);
    for (const [linkId, portY] of box.ports) ports.set(linkId, portY);
    y += box.node.height + GAP;
  }
  const lanes = laneLinks(tree, { laid, ports, rightX });
  return {
    width: rightX + MARGIN + (lanes.count > 0 ? FIRST_LANE + LANE * (lanes.count - 1) + MARGIN : 0),
    height: Math.max(MARGIN, y - GAP) + MARGIN,
    nodes: rows.map((id) => laid.get(id) as LaidNode),
    links: [...treeLinks(tree, laid), ...lanes.links],
    trunks: trunksOf(tree, laid),
  };
}

/** Pieces from top to bottom: what hangs on a piece above it, what stands in the earth below. */
function rowsOf(nodes: readonly PathNode[], tree: PathTree): string[] {
  const kinds = new Map(nodes.map((node) => [node.id, node.kind]));
  const rows: string[] = [];
  const put = (id: string) => {
    const hanging = tree.children.get(id) ?? [];
    const inEarth = (child: string) => IN_EARTH.has(kinds.get(child) as PathNodeKind);
    for (const child of hanging) if (!inEarth(child)) put(child);
    rows.push(id);
    for (const child of hanging) if (inEarth(child)) put(child);
  };
  for (const root of tree.roots) put(root);
  return rows;
}

interface Place {
  tree: PathTree;
  y: number;
  rightX: number;
}

function boxOf(id: string, { tree, y, rightX }: Place): { node: LaidNode; ports: [string, number][] } {
  const own = [tree.hungOn.get(id) ?? [], tree.further.filter((link) => link.from === id)].flat();
  const arriving = tree.further.filter((link) => link.to === id);
  const lines = own.map((link, i) => ({ linkId: link.id, y: y + HEAD + LINE * (i + 0.5) }));
  const portsY = y + HEAD + LINE * own.length;
  const x = MARGIN + INDENT * (tree.depth.get(id) as number);
  const height = HEAD + LINE * own.length + PORT * arriving.length + PAD;
  return {
    node: { id, x, y, width: rightX - x, height, lines },
    ports: arriving.map((link, i) => [link.id, portsY + PORT * (i + 0.5)]),
  };
}

const lineY = (node: LaidNode, linkId: string) => node.lines.find((line) => line.linkId === linkId)?.y as number;

function treeLinks(tree: PathTree, laid: ReadonlyMap<string, LaidNode>): LaidLink[] {
  return [...tree.hungOn].map(([id, link]) => {
    const child = laid.get(id) as LaidNode;
    const parent = laid.get(link.from === id ? link.to : link.from) as LaidNode;
    const y = lineY(child, link.id);
    return {
      id: link.id,
      points: [
        { x: parent.x + TRUNK_AT, y },
        { x: child.x, y },
      ],
    };
  });
}

function trunksOf(tree: PathTree, laid: ReadonlyMap<string, LaidNode>): Trunk[] {
  const trunks: Trunk[] = [];
  for (const [id, children] of tree.children) {
    const node = laid.get(id) as LaidNode;
    const ends = children.map((child) =>
      lineY(laid.get(child) as LaidNode, (tree.hungOn.get(child) as { id: string }).id),
    );
    const bottom = node.y + node.height;
    const above = ends.filter((y) => y < node.y);
    const below = ends.filter((y) => y > bottom);
    const x = node.x + TRUNK_AT;
    if (above.length > 0) trunks.push({ nodeId: id, x, fromY: Math.min(...above), toY: node.y });
    if (below.length > 0) trunks.push({ nodeId: id, x, fromY: bottom, toY: Math.max(...below) });
  }
  return trunks;
}

interface Laid {
  laid: ReadonlyMap<string, LaidNode>;
  ports: ReadonlyMap<string, number>;
  rightX: number;
}

/** Further links, each in the innermost lane that is free over its whole height. */
function laneLinks(tree: PathTree, { laid, ports, rightX }: Laid): { links: LaidLink[]; count: number } {
  const spans = tree.further
    .map((link) => {
      const fromY = lineY(laid.get(link.from) as LaidNode, link.id);
      const toY = ports.get(link.id) as number;
      return { id: link.id, fromY, toY, top: Math.min(fromY, toY), bottom: Math.max(fromY, toY) };
    })
    .sort((a, b) => a.top - b.top);
  const freeFrom: number[] = [];
  const links = spans.map(({ id, fromY, toY, top, bottom }): LaidLink => {
    const free = freeFrom.findIndex((y) => y < top);
    const lane = free === -1 ? freeFrom.length : free;
    freeFrom[lane] = bottom;
    const x = rightX + FIRST_LANE + LANE * lane;
    return {
      id,
      points: [
        { x: rightX, y: fromY },
        { x, y: fromY },
        { x, y: toY },
        { x: rightX, y: toY },
      ],
    };
  });
  return { links, count: freeFrom.length };
}
