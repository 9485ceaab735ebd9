import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { bondingPath } from "../../lib/grounding/bonding-path.ts";
import type { PathLink, PathLinkKind, PathNode, PathNodeKind } from "../../lib/grounding/path-graph.ts";
import { type LaidNode, type PathLayout, pathLayout } from "../../lib/grounding/path-layout.ts";
import { AS_OF, sampleInverter, sampleRecords, sampleSection, sampleSite } from "../support/sample-site.ts";

const NODE_KINDS: PathNodeKind[] = ["section", "inverter", "electrode", "array_electrode", "battery", "other_metal"];
const LINK_KINDS: PathLinkKind[] = ["section_bond", "section_egc", "inverter_egc", "gec", "other_metal_bond"];
const anyPath = fc
  .record({
    kinds: fc.array(fc.constantFrom(...NODE_KINDS), { maxLength: 14 }),
    pairs: fc.array(fc.tuple(fc.nat(), fc.nat(), fc.constantFrom(...LINK_KINDS)), { maxLength: 24 }),
  })
  .map(({ kinds, pairs }) => {
    const node = (id: string, kind: PathNodeKind): PathNode => ({
      id,
      kind,
      label: id,
      sectionId: null,
      inverterId: null,
    });
    const nodes = [node("ground_bus", "ground_bus"), ...kinds.map((kind, i) => node(`n${i}`, kind))];
    const name = (i: number) => (nodes[i % nodes.length] as PathNode).id;
    const links = pairs.map(
      ([a, b, kind], i): PathLink => ({
        id: `l${i}`,
        kind,
        from: name(a),
        to: name(b),
        sectionId: null,
        inverterId: null,
        recorded: true,
        absent: false,
      }),
    );
    return { nodes, links };
  });

const overlap = (a: LaidNode, b: LaidNode) =>
  a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;

/** Straight strokes of every link and bar, with whose they are. */
function strokes({ links, trunks }: PathLayout) {
  const own = links.flatMap(({ id, points }) => points.slice(1).map((to, i) => ({ id, from: points[i], to })));
  const bars = trunks.map(({ nodeId, x, fromY, toY }) => ({
    id: `bar ${nodeId}`,
    from: { x, y: fromY },
    to: { x, y: toY },
  }));
  return [...own, ...bars].map(({ id, from, to }) => {
    const [a, b] = [from as { x: number; y: number }, to];
    return {
      id,
      left: Math.min(a.x, b.x),
      right: Math.max(a.x, b.x),
      top: Math.min(a.y, b.y),
      bottom: Math.max(a.y, b.y),
    };
  });
}

describe("pathLayout", () => {
  test("no two boxes overlap and everything lies inside the drawing", () => {
    fc.assert(
      fc.property(anyPath, ({ nodes, links }) => {
        const layout = pathLayout(nodes, links);
        expect(layout.nodes.map((each) => each.id).sort()).toEqual(nodes.map((each) => each.id).sort());
        layout.nodes.forEach((a, i) => {
          for (const b of layout.nodes.slice(i + 1)) expect(overlap(a, b)).toBe(false);
          expect(a.x >= 0 && a.y >= 0 && a.width >= 150).toBe(true);
          expect(a.x + a.width <= layout.width && a.y + a.height <= layout.height).toBe(true);
          for (const line of a.lines) expect(line.y > a.y && line.y < a.y + a.height).toBe(true);
        });
        for (const each of strokes(layout)) {
          expect(each.left >= 0 && each.right <= layout.width).toBe(true);
          expect(each.top >= 0 && each.bottom <= layout.height).toBe(true);
        }
      }),
      { numRuns: 300 },
    );
  });

  test("every link is drawn once, told in one box, and touches both of its pieces", () => {
    fc.assert(
      fc.property(anyPath, ({ nodes, links }) => {
        const layout = pathLayout(nodes, links);
        expect(layout.links.map((each) => each.id).sort()).toEqual(links.map((each) => each.id).sort());
        expect(layout.nodes.flatMap((each) => each.lines.map((line) => line.linkId)).sort()).toEqual(
          links.map((each) => each.id).sort(),
        );
        const touches = (id: string, point: { x: number; y: number }) => {
          const box = layout.nodes.find((each) => each.id === id) as LaidNode;
          const onEdge = (point.x === box.x || point.x === box.x + box.width) && point.y > box.y;
          const onBar = layout.trunks.some(
            (bar) => bar.nodeId === id && bar.x === point.x && bar.fromY <= point.y && point.y <= bar.toY,
          );
          return (onEdge && point.y < box.y + box.height) || onBar;
        };
        for (const { id, points } of layout.links) {
          const link = links.find((each) => each.id === id) as PathLink;
          const ends = [points[0], points.at(-1)] as { x: number; y: number }[];
          const straight = touches(link.from, ends[0] as never) && touches(link.to, ends[1] as never);
          const turned = touches(link.to, ends[0] as never) && touches(link.from, ends[1] as never);
          expect(straight || turned).toBe(true);
        }
      }),
      { numRuns: 300 },
    );
  });

  test("no line runs through a box or along another line", () => {
    fc.assert(
      fc.property(anyPath, ({ nodes, links }) => {
        const layout = pathLayout(nodes, links);
        const all = strokes(layout);
        for (const each of all)
          for (const box of layout.nodes) {
            const inside =
              each.left < box.x + box.width &&
              each.right > box.x &&
              each.top < box.y + box.height &&
              each.bottom > box.y;
            expect(inside).toBe(false);
          }
        all.forEach((a, i) => {
          for (const b of all.slice(i + 1)) {
            const upright = a.left === a.right && b.left === b.right && a.left === b.left;
            const level = a.top === a.bottom && b.top === b.bottom && a.top === b.top;
            if (upright && a.id !== b.id) expect(a.top < b.bottom && b.top < a.bottom).toBe(false);
            if (level && a.id !== b.id) expect(a.left < b.right && b.left < a.right).toBe(false);
          }
        });
      }),
      { numRuns: 300 },
    );
  });

  test("frames stand above the service ground and electrodes below it", () => {
    const site = sampleSite({ separateArrayElectrode: "not_bonded", battery: "separate_electrode" });
    const path = bondingPath(sampleRecords({ site }), AS_OF);
    const y = (id: string) => pathLayout(path.nodes, path.edges).nodes.find((each) => each.id === id)?.y as number;
    for (const id of ["metal:A", "section:A", "inverter:I1"]) expect(y(id)).toBeLessThan(y("ground_bus"));
    for (const id of ["electrode", "array_electrode", "battery_electrode"])
      expect(y(id)).toBeGreaterThan(y("ground_bus"));
  });

  test("a usual rooftop site fits a phone's width, and a site of forty sections stays no wider than its lanes ask", () => {
    const small = bondingPath(sampleRecords(), AS_OF);
    expect(pathLayout(small.nodes, small.edges).width).toBeLessThanOrEqual(390);
    const inverters = ["I1", "I2", "I3", "I4"].map((inverterId) => sampleInverter({ inverterId }));
    const sections = Array.from({ length: 40 }, (_, i) =>
      sampleSection({ sectionId: `S${i}`, inverterId: `I${(i % 4) + 1}`, bondedTo: null }),
    );
    const big = bondingPath(sampleRecords({ inverters, sections }), AS_OF);
    expect(pathLayout(big.nodes, big.edges).width).toBeLessThanOrEqual(390);
  });

  test("a link to a piece that is not there is a caller's mistake", () => {
    const path = bondingPath(sampleRecords(), AS_OF);
    const stray = { ...(path.edges[0] as PathLink), to: "nowhere" };
    expect(() => pathLayout(path.nodes, [stray])).toThrow(RangeError);
    expect(() => pathLayout([...path.nodes, path.nodes[0] as PathNode], [])).toThrow(RangeError);
  });
});
