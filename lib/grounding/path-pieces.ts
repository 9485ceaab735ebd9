/** An undirected link between two named pieces. Several links may join the same two; one may join a piece to itself. */
export interface GraphLink {
  id: string;
  from: string;
  to: string;
}

type Neighbours = Map<string, { to: string; link: GraphLink }[]>;

function neighboursOf(links: readonly GraphLink[]): Neighbours {
  const next: Neighbours = new Map();
  const join = (from: string, to: string, link: GraphLink) => {
    const known = next.get(from);
    if (known) known.push({ to, link });
    else next.set(from, [{ to, link }]);
  };
  for (const link of links) {
    join(link.from, link.to, link);
    if (link.from !== link.to) join(link.to, link.from, link);
  }
  return next;
}

/** Everything that hangs together with a start over some links; the start itself is always among it. */
export function reachableFrom(start: string, links: readonly GraphLink[]): Set<string> {
  return spread(start, neighboursOf(links));
}

function spread(start: string, next: Neighbours): Set<string> {
  const seen = new Set([start]);
  const open = [start];
  for (let id = open.pop(); id !== undefined; id = open.pop()) {
    for (const { to } of next.get(id) ?? []) {
      if (seen.has(to)) continue;
      seen.add(to);
      open.push(to);
    }
  }
  return seen;
}

/** Connected pieces among some nodes, each sorted, in the order of their first member. O(n log n + links). */
export function connectedPieces(ids: readonly string[], links: readonly GraphLink[]): string[][] {
  const next = neighboursOf(links);
  const left = new Set(ids);
  const found: string[][] = [];
  for (const id of [...ids].sort()) {
    if (!left.has(id)) continue;
    const piece = [...spread(id, next)].sort();
    for (const member of piece) left.delete(member);
    found.push(piece);
  }
  return found;
}

/** A link whose loss alone cuts something off, and everything that it cuts off from the root. */
export interface SinglePoint {
  linkId: string;
  /** Sorted, at least one. */
  loses: string[];
}

interface Frame {
  id: string;
  via: GraphLink | null;
  at: number;
}

/**
 * Single points of failure on the way to a root: the bridges of the root's piece, by depth-first order and low points.
 * Two links between the same pieces back one another up and are none.
 *
 * @returns in the order of `links`
 * @shape O(nodes + links) for the bridges, and as much again as they lose; no recursion, so a long chain is no trouble
 * @source R. E. Tarjan's low-point method, from memory
 */
export function singlePoints(root: string, links: readonly GraphLink[]): SinglePoint[] {
  const next = neighboursOf(links);
  const order = new Map([[root, 0]]);
  const low = new Map([[root, 0]]);
  const visited: string[] = [root];
  const loses = new Map<string, string[]>();
  const stack: Frame[] = [{ id: root, via: null, at: 0 }];
  for (let frame = stack.at(-1); frame; frame = stack.at(-1)) {
    const step = next.get(frame.id)?.[frame.at++];
    if (!step) {
      stack.pop();
      closeFrame(frame, stack.at(-1) ?? null, { order, low, visited, loses });
    } else if (step.link !== frame.via) {
      const known = order.get(step.to);
      if (known === undefined) {
        order.set(step.to, visited.length);
        low.set(step.to, visited.length);
        visited.push(step.to);
        stack.push({ id: step.to, via: step.link, at: 0 });
      } else low.set(frame.id, Math.min(low.get(frame.id) as number, known));
    }
  }
  return links.flatMap((link) => {
    const lost = loses.get(link.id);
    return lost ? [{ linkId: link.id, loses: lost }] : [];
  });
}

interface Search {
  order: Map<string, number>;
  low: Map<string, number>;
  visited: string[];
  loses: Map<string, string[]>;
}

/** A piece is done: it passes its low point on, or its link is a bridge and everything found since hangs on it. */
function closeFrame(done: Frame, parent: Frame | null, { order, low, visited, loses }: Search): void {
  if (!parent || !done.via) return;
  const ownLow = low.get(done.id) as number;
  const ownOrder = order.get(done.id) as number;
  low.set(parent.id, Math.min(low.get(parent.id) as number, ownLow));
  // Depth-first: what was found after this piece and before its end is exactly what lies behind it.
  if (ownLow === ownOrder) loses.set(done.via.id, visited.slice(ownOrder).sort());
}
