import { reachableFrom } from "./path-pieces.ts";

/** A resistance between two named nodes. Zero joins them; several between the same two act in parallel. */
export interface Resistor {
  id: string;
  from: string;
  to: string;
  /** Ohm, at least 0 and finite. */
  ohms: number;
}

/** Conductance between nodes, S, held at both of its ends. */
type Conductances = Map<string, Map<string, number>>;

/**
 * Resistance between two nodes of a network of resistors.
 *
 * @returns ohm; 0 for a node and itself; null where no resistor chain joins the two
 * @throws RangeError when a resistance is negative or not finite
 * @shape as resistancesTo
 * @example networkResistance([{ id: "r", from: "x", to: "y", ohms: 2 }], "x", "y") // 2
 */
export function networkResistance(resistors: readonly Resistor[], a: string, b: string): number | null {
  return resistancesTo(resistors, b).get(a) ?? null;
}

/**
 * Resistance from every node of a piece to one of its nodes: the diagonal of the inverse of the weighted Laplacian with
 * that node held at 0 V. Nodes are eliminated, fewest neighbours first; in resistors each step is the star-mesh
 * transform, which adds and divides positive numbers only, so nothing cancels. Going back, only those entries of the
 * inverse are computed that the next ones need.
 *
 * @returns ohm by node, 0 at the root; a node that no chain joins to it is absent
 * @throws RangeError when a resistance is negative or not finite
 * @shape O(nodes^2) for a tree with a few loops, O(nodes^3) where all are joined to all; inputs are not mutated
 * @source Kirchhoff's current law per node; star-mesh transform and selected inversion, from memory
 */
export function resistancesTo(resistors: readonly Resistor[], root: string): Map<string, number> {
  for (const { id, ohms } of resistors) {
    if (!Number.isFinite(ohms) || ohms < 0)
      throw new RangeError(`resistancesTo requires finite ohms of at least 0, got ${ohms} at "${id}"`);
  }
  const piece = reachableFrom(root, resistors);
  const nodeOf = joinZeros(resistors);
  const sink = nodeOf(root);
  const network = conductances(
    resistors.filter((resistor) => piece.has(resistor.from)),
    nodeOf,
  );
  const stars: Star[] = [];
  for (const node of fewestNeighboursFirst(network, sink)) stars.push(eliminate(network, node));
  const own = goBack(stars, sink);
  return new Map([...piece].map((node) => [node, own.get(nodeOf(node)) ?? 0]));
}

/** One name for all nodes that resistors of 0 ohm join. */
function joinZeros(resistors: readonly Resistor[]): (node: string) => string {
  // So small that its conductance is no number counts as zero too.
  const zeros = resistors.filter((resistor) => !Number.isFinite(1 / resistor.ohms));
  const names = new Map<string, string>();
  for (const { from } of zeros) {
    if (names.has(from)) continue;
    for (const member of reachableFrom(from, zeros)) names.set(member, from);
  }
  return (node) => names.get(node) ?? node;
}

function conductances(resistors: readonly Resistor[], nodeOf: (node: string) => string): Conductances {
  const network: Conductances = new Map();
  for (const { from, to, ohms } of resistors) {
    const [one, two] = [nodeOf(from), nodeOf(to)];
    if (one !== two) join(network, one, two, 1 / ohms);
  }
  return network;
}

function join(network: Conductances, one: string, two: string, siemens: number): void {
  for (const [node, other] of [
    [one, two],
    [two, one],
  ] as const) {
    const neighbours = network.get(node) ?? new Map<string, number>();
    neighbours.set(other, (neighbours.get(other) ?? 0) + siemens);
    network.set(node, neighbours);
  }
}

/** Nodes to eliminate; asked anew after each, since elimination changes how many neighbours the others have. */
function* fewestNeighboursFirst(network: Conductances, sink: string): Generator<string> {
  const left = new Set(network.keys());
  left.delete(sink);
  while (left.size > 0) {
    let next = "";
    let fewest = Number.POSITIVE_INFINITY;
    for (const node of left) {
      const neighbours = (network.get(node) as Map<string, number>).size;
      if (neighbours >= fewest) continue;
      [next, fewest] = [node, neighbours];
      if (fewest <= 1) break;
    }
    left.delete(next);
    yield next;
  }
}

/** A node as it was eliminated, with its neighbours' conductances and their sum, S. */
interface Star {
  node: string;
  arms: [string, number][];
  sum: number;
}

/** Star to mesh: each two neighbours get the product of their conductances to the node over the sum of all. */
function eliminate(network: Conductances, node: string): Star {
  const arms = [...(network.get(node) ?? [])];
  const sum = arms.reduce((total, [, siemens]) => total + siemens, 0);
  network.delete(node);
  for (const [neighbour] of arms) network.get(neighbour)?.delete(node);
  arms.forEach(([one, toOne], i) => {
    for (const [two, toTwo] of arms.slice(i + 1)) join(network, one, two, (toOne * toTwo) / sum);
  });
  return { node, arms, sum };
}

/**
 * Entries of the inverse from the last eliminated node to the first. What a star asks of its neighbours among one
 * another is known by then: the mesh made them neighbours, and they were eliminated later.
 * @returns each node's own entry, which is its resistance to the sink
 */
function goBack(stars: readonly Star[], sink: string): Map<string, number> {
  const entries = new Map<string, Map<string, number>>();
  const entry = (a: string, b: string) =>
    a === sink || b === sink ? 0 : (entries.get(a)?.get(b) ?? (entries.get(b)?.get(a) as number));
  const own = new Map<string, number>();
  for (const { node, arms, sum } of stars.toReversed()) {
    const row = new Map<string, number>();
    for (const [other] of arms)
      row.set(
        other,
        arms.reduce((total, [arm, siemens]) => total + (siemens / sum) * entry(arm, other), 0),
      );
    const self =
      1 / sum + arms.reduce((total, [arm, siemens]) => total + (siemens / sum) * (row.get(arm) as number), 0);
    row.set(node, self);
    entries.set(node, row);
    own.set(node, self);
  }
  return own;
}
