import type { PathLink, PathNode } from "./path-graph.ts";

/** A path as a tree with the service ground at its root, and the links that are over. */
export interface PathTree {
  /** The service ground bus last; before it the start of every piece that no link at all joins to it. */
  roots: string[];
  /** Pieces that hang on a piece, in the order of the nodes. */
  children: Map<string, string[]>;
  /** The link by which each piece but a root hangs. */
  hungOn: Map<string, PathLink>;
  /** How many links of the tree lie between a piece and its root. */
  depth: Map<string, number>;
  /** Links that the tree does not use. */
  further: PathLink[];
}

/**
 * A spanning tree grown from the service ground bus, always by the link of lowest rank that reaches something new.
 * @throws RangeError when a link names a piece that is not there, or two pieces share a name
 */
export function pathTree(
  nodes: readonly PathNode[],
  links: readonly PathLink[],
  rank: (link: PathLink) => number,
): PathTree {
  const order = new Map(nodes.map((node, i) => [node.id, i]));
  if (order.size !== nodes.length) throw new RangeError("pathTree requires every piece to have a name of its own");
  for (const { id, from, to } of links) {
    if (!order.has(from) || !order.has(to)) throw new RangeError(`pathTree requires both ends of "${id}" as pieces`);
  }
  const byRank = [...links].sort((a, b) => rank(a) - rank(b));
  const tree: PathTree = { roots: [], children: new Map(), hungOn: new Map(), depth: new Map(), further: [] };
  const starts = [...order.keys()].sort((a, b) => Number(b === "ground_bus") - Number(a === "ground_bus"));
  for (const root of starts) {
    if (tree.depth.has(root)) continue;
    tree.roots.unshift(root);
    tree.depth.set(root, 0);
    grow(tree, byRank);
  }
  const used = new Set([...tree.hungOn.values()]);
  tree.further = links.filter((link) => !used.has(link));
  for (const children of tree.children.values())
    children.sort((a, b) => (order.get(a) as number) - (order.get(b) as number));
  return tree;
}

function grow(tree: PathTree, byRank: readonly PathLink[]): void {
  const reaches = (link: PathLink) => tree.depth.has(link.from) !== tree.depth.has(link.to);
  for (let link = byRank.find(reaches); link; link = byRank.find(reaches)) {
    const [parent, child] = tree.depth.has(link.from) ? [link.from, link.to] : [link.to, link.from];
    tree.depth.set(child, (tree.depth.get(parent) as number) + 1);
    tree.hungOn.set(child, link);
    const children = tree.children.get(parent);
    if (children) children.push(child);
    else tree.children.set(parent, [child]);
  }
}
