import { reachableFrom } from "./path-pieces.ts";

/** A resistance between two named nodes. Zero joins them; several between the same two act in parallel. */
export interface Resistor {
  id: string;
  from: string;
  to: string;
  /** Ohm, at least 0 and finite. */
  ohms: number;
}

/**
 * Resistance between two nodes of a network of resistors: the potential difference that one ampere sent in at `a` and
 * taken out at `b` sets up, from the weighted Laplacian of their piece with `b` held at 0 V.
 *
 * @returns ohm; 0 for a node and itself; null where no resistor chain joins the two
 * @throws RangeError when a resistance is negative or not finite
 * @shape O(n^3) in the nodes of the piece after zero resistances are joined; inputs are not mutated
 * @source Kirchhoff's current law per node; elimination with partial pivoting
 * @example networkResistance([{ id: "r", from: "x", to: "y", ohms: 2 }], "x", "y") // 2
 */
export function networkResistance(resistors: readonly Resistor[], a: string, b: string): number | null {
  for (const { id, ohms } of resistors) {
    if (!Number.isFinite(ohms) || ohms < 0)
      throw new RangeError(`networkResistance requires finite ohms of at least 0, got ${ohms} at "${id}"`);
  }
  const piece = reachableFrom(b, resistors);
  if (!piece.has(a)) return null;
  const nodeOf = joinZeros(resistors);
  const source = nodeOf(a);
  const sink = nodeOf(b);
  if (source === sink) return 0;
  const free = [...new Set([...piece].map(nodeOf))].filter((node) => node !== sink).sort();
  const place = new Map(free.map((node, i) => [node, i]));
  const rows = laplacian(resistors, place, nodeOf);
  const current = new Array<number>(free.length).fill(0);
  current[place.get(source) as number] = 1;
  return solve(rows, current)[place.get(source) as number] as number;
}

/** One name for all nodes that resistors of 0 ohm join. */
function joinZeros(resistors: readonly Resistor[]): (node: string) => string {
  const zeros = resistors.filter((resistor) => resistor.ohms === 0);
  const names = new Map<string, string>();
  for (const { from, to } of zeros) {
    for (const node of [from, to]) {
      if (names.has(node)) continue;
      const joined = reachableFrom(node, zeros);
      for (const member of joined) names.set(member, node);
    }
  }
  return (node) => names.get(node) ?? node;
}

/** The Laplacian without the row and column of the node held at 0 V (absent from `place`). */
function laplacian(
  resistors: readonly Resistor[],
  place: ReadonlyMap<string, number>,
  nodeOf: (node: string) => string,
): number[][] {
  const rows = Array.from({ length: place.size }, () => new Array<number>(place.size).fill(0));
  const add = (i: number | undefined, j: number | undefined, siemens: number) => {
    if (i === undefined || j === undefined) return;
    const row = rows[i] as number[];
    row[j] = (row[j] as number) + siemens;
  };
  for (const { from, to, ohms } of resistors) {
    const [one, two] = [nodeOf(from), nodeOf(to)];
    if (one === two) continue;
    const [i, j] = [place.get(one), place.get(two)];
    add(i, i, 1 / ohms);
    add(j, j, 1 / ohms);
    add(i, j, -1 / ohms);
    add(j, i, -1 / ohms);
  }
  return rows;
}

/** Solve a square, regular system in place of its own copies. */
function solve(rows: number[][], right: number[]): number[] {
  const n = right.length;
  const at = (i: number, j: number) => (rows[i] as number[])[j] as number;
  for (let k = 0; k < n; k++) {
    let pivot = k;
    for (let i = k + 1; i < n; i++) if (Math.abs(at(i, k)) > Math.abs(at(pivot, k))) pivot = i;
    [rows[k], rows[pivot]] = [rows[pivot] as number[], rows[k] as number[]];
    [right[k], right[pivot]] = [right[pivot] as number, right[k] as number];
    for (let i = k + 1; i < n; i++) {
      const share = at(i, k) / at(k, k);
      if (share === 0) continue;
      for (let j = k; j < n; j++) (rows[i] as number[])[j] = at(i, j) - share * at(k, j);
      right[i] = (right[i] as number) - share * (right[k] as number);
    }
  }
  for (let i = n - 1; i >= 0; i--) {
    let sum = right[i] as number;
    for (let j = i + 1; j < n; j++) sum -= at(i, j) * (right[j] as number);
    right[i] = sum / at(i, i);
  }
  return right;
}
