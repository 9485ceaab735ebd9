import fc from "fast-check";
import { MultiUndirectedGraph } from "graphology";
import { connectedComponents } from "graphology-components";
import { describe, expect, test } from "vitest";
import { connectedPieces, type GraphLink, reachableFrom, singlePoints } from "../../lib/grounding/path-pieces.ts";

// The outside judge is the general-purpose graph library graphology with its connected components.
const NAMES = Array.from({ length: 12 }, (_, i) => `n${String(i).padStart(2, "0")}`);
const anyGraph = fc
  .record({
    size: fc.integer({ min: 1, max: NAMES.length }),
    pairs: fc.array(fc.tuple(fc.nat(), fc.nat()), { maxLength: 20 }),
  })
  .map(({ size, pairs }) => {
    const ids = NAMES.slice(0, size);
    const links = pairs.map(
      ([a, b], i): GraphLink => ({ id: `l${i}`, from: ids[a % size] as string, to: ids[b % size] as string }),
    );
    return { ids, links };
  });

function judged(ids: readonly string[], links: readonly GraphLink[]): string[][] {
  const graph = new MultiUndirectedGraph({ allowSelfLoops: true });
  for (const id of ids) graph.addNode(id);
  for (const link of links) graph.addUndirectedEdgeWithKey(link.id, link.from, link.to);
  return connectedComponents(graph)
    .map((piece) => [...piece].sort())
    .sort((a, b) => ((a[0] as string) < (b[0] as string) ? -1 : 1));
}

describe("connectedPieces", () => {
  test("agrees with a general-purpose graph library on random graphs with loops and double links", () => {
    fc.assert(
      fc.property(anyGraph, ({ ids, links }) => {
        expect(connectedPieces(ids, links)).toEqual(judged(ids, links));
      }),
      { numRuns: 500 },
    );
  });
});

describe("reachableFrom", () => {
  test("is the library's component of the start, for every start", () => {
    fc.assert(
      fc.property(anyGraph, ({ ids, links }) => {
        for (const piece of judged(ids, links))
          for (const id of piece) expect([...reachableFrom(id, links)].sort()).toEqual(piece);
      }),
    );
  });
});

describe("singlePoints", () => {
  test("are the links whose removal splits the root's piece, with exactly what the library finds split off", () => {
    fc.assert(
      fc.property(anyGraph, ({ ids, links }) => {
        const root = ids[0] as string;
        const whole = judged(ids, links).find((piece) => piece.includes(root)) as string[];
        const expected = links.flatMap((link) => {
          const rest = judged(
            ids,
            links.filter((other) => other !== link),
          ).find((piece) => piece.includes(root)) as string[];
          const loses = whole.filter((id) => !rest.includes(id));
          return loses.length > 0 ? [{ linkId: link.id, loses }] : [];
        });
        expect(singlePoints(root, links)).toEqual(expected);
      }),
      { numRuns: 500 },
    );
  });

  test("two links between the same pieces back one another up", () => {
    const twice = [
      { id: "a", from: "x", to: "bus" },
      { id: "b", from: "bus", to: "x" },
    ];
    expect(singlePoints("bus", twice)).toEqual([]);
    expect(singlePoints("bus", twice.slice(0, 1))).toEqual([{ linkId: "a", loses: ["x"] }]);
  });

  test("a ring of ten thousand pieces is answered without running out of stack", () => {
    const links = Array.from({ length: 10_000 }, (_, i) => ({ id: `l${i}`, from: `n${i}`, to: `n${i + 1}` }));
    const ring = [...links, { id: "back", from: "n10000", to: "n0" }];
    expect(singlePoints("n0", ring)).toEqual([]);
    const tail = { id: "tail", from: "n5000", to: "end" };
    expect(singlePoints("n0", [...ring, tail])).toEqual([{ linkId: "tail", loses: ["end"] }]);
  });
});
