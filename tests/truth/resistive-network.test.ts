import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { networkResistance, type Resistor, resistancesTo } from "../../lib/grounding/resistive-network.ts";

const network = (...parts: [string, string, number][]): Resistor[] =>
  parts.map(([from, to, ohms], i) => ({ id: `r${i}`, from, to, ohms }));

/** Corners of a cube as three bits; edges where one bit differs. */
const CUBE: Resistor[] = [0, 1, 2, 3, 4, 5, 6, 7].flatMap((corner) =>
  [1, 2, 4]
    .filter((bit) => (corner & bit) === 0)
    .map((bit) => ({ id: `${corner}-${corner | bit}`, from: String(corner), to: String(corner | bit), ohms: 1 })),
);

/** Random connected networks: a random tree and some more resistors, 0.01 to 100 ohm. */
const anyNetwork = fc
  .record({
    parents: fc.array(fc.nat(), { minLength: 1, maxLength: 7 }),
    more: fc.array(fc.tuple(fc.nat(), fc.nat()), { maxLength: 8 }),
    ohms: fc.array(fc.double({ min: 0.01, max: 100, noNaN: true }), { minLength: 15, maxLength: 15 }),
  })
  .map(({ parents, more, ohms }) => {
    const size = parents.length + 1;
    const pairs = [
      ...parents.map((parent, i) => [i + 1, parent % (i + 1)] as const),
      ...more.map(([a, b]) => [a % size, b % size] as const).filter(([a, b]) => a !== b),
    ];
    const parts = pairs.map(
      ([a, b], i): Resistor => ({
        id: `r${i}`,
        from: String(a),
        to: String(b),
        ohms: ohms[i] as number,
      }),
    );
    return { size, parts };
  });

describe("resistancesTo", () => {
  // The same cube: three corners along an edge, three across a face, one through the body.
  test("gives every node of the piece its resistance at once and leaves out what no chain joins", () => {
    const stray = network(["x", "y", 1]);
    const found = resistancesTo([...CUBE, ...stray], "0");
    expect(found.has("x")).toBe(false);
    for (const [node, ohms] of found) {
      const bits = [1, 2, 4].filter((bit) => (Number(node) & bit) !== 0).length;
      expect(ohms).toBeCloseTo([0, 7 / 12, 3 / 4, 5 / 6][bits] as number, 12);
    }
    expect(found.size).toBe(8);
  });

  // Checked against Kirchhoff's law itself: with the potentials that one ampere sets up, found by relaxation, the
  // resistance of the pair is their difference.
  test("agrees with potentials found by relaxation on random networks", () => {
    fc.assert(
      fc.property(anyNetwork, ({ size, parts }) => {
        const rows = parts.map((part) => ({ ...part, ohms: 1 + (part.ohms % 3) }));
        const last = String(size - 1);
        const volts = new Map(Array.from({ length: size }, (_, i) => [String(i), 0]));
        for (let sweep = 0; sweep < 2000; sweep++) {
          for (let i = 1; i < size; i++) {
            let current = String(i) === last ? 1 : 0;
            let siemens = 0;
            for (const { from, to, ohms } of rows) {
              if (from !== String(i) && to !== String(i)) continue;
              current += (volts.get(from === String(i) ? to : from) as number) / ohms;
              siemens += 1 / ohms;
            }
            volts.set(String(i), current / siemens);
          }
        }
        expect(resistancesTo(rows, "0").get(last)).toBeCloseTo(volts.get(last) as number, 6);
      }),
      { numRuns: 10 },
    );
  });
});

describe("networkResistance", () => {
  // Elementary circuit theory, hand-solved; textbook values from memory (high).
  test("resistors in series add, in parallel their conductances add", () => {
    expect(networkResistance(network(["a", "b", 2], ["b", "c", 3], ["c", "d", 5]), "a", "d")).toBeCloseTo(10, 12);
    expect(networkResistance(network(["a", "b", 6], ["b", "a", 3]), "a", "b")).toBeCloseTo(2, 12);
    // 4 in series with (6 parallel to 12): 4 + 4 = 8.
    expect(networkResistance(network(["a", "b", 4], ["b", "c", 6], ["b", "c", 12]), "a", "c")).toBeCloseTo(8, 12);
  });

  // Wheatstone bridge, textbook (from memory, high). Balanced 100/200 = 150/300: (100+200) parallel (150+300) = 180 ohm
  // whatever the detector's resistance; between the detector's own ends the two halves and the detector are parallel.
  test.each([0, 1, 50, 1e6])("a balanced Wheatstone bridge is 180 ohm with %d ohm in the detector arm", (detector) => {
    const bridge = network(["t", "l", 100], ["l", "b", 200], ["t", "r", 150], ["r", "b", 300], ["l", "r", detector]);
    expect(networkResistance(bridge, "t", "b")).toBeCloseTo(180, 9);
  });

  // Unbalanced bridge, hand-solved by delta-wye: delta t-l-r of 1, 2, 3 ohm gives 1/3, 1/2, 1; then
  // 1/3 + (1/2 + 4) parallel (1 + 5) = 1/3 + 27/10.5 = 61/21.
  test("an unbalanced bridge agrees with its delta-wye solution by hand", () => {
    const bridge = network(["t", "l", 1], ["t", "r", 2], ["l", "r", 3], ["l", "b", 4], ["r", "b", 5]);
    // Wye arms: t = 1*2/6, l = 1*3/6, r = 2*3/6.
    expect(networkResistance(bridge, "t", "b")).toBeCloseTo(1 / 3 + (4.5 * 6) / 10.5, 12);
    expect(networkResistance(bridge, "t", "b")).toBeCloseTo(61 / 21, 12);
  });

  // Cube of twelve equal resistors, the classic problem (from memory, high): 7/12, 3/4 and 5/6 of one.
  test("a cube of 1 ohm edges: 7/12 along an edge, 3/4 across a face, 5/6 through the body", () => {
    expect(CUBE).toHaveLength(12);
    expect(networkResistance(CUBE, "0", "1")).toBeCloseTo(7 / 12, 12);
    expect(networkResistance(CUBE, "0", "3")).toBeCloseTo(3 / 4, 12);
    expect(networkResistance(CUBE, "0", "7")).toBeCloseTo(5 / 6, 12);
  });

  // Complete graph of n equal resistors: 2/n between any two (symmetry; from memory, high).
  test.each([3, 5, 9])("%i nodes, each joined to each by 1 ohm: 2/n between any two", (n) => {
    const parts: [string, string, number][] = [];
    for (let i = 0; i < n; i++) for (let j = i + 1; j < n; j++) parts.push([String(i), String(j), 1]);
    expect(networkResistance(network(...parts), "0", String(n - 1))).toBeCloseTo(2 / n, 12);
  });

  // R. M. Foster's theorem of electrical networks (1949; from memory): over the resistors of a connected network the
  // resistance between the ends of each over its own adds to the number of nodes less one.
  test("Foster's sum is the number of nodes less one on random networks", () => {
    fc.assert(
      fc.property(anyNetwork, ({ size, parts }) => {
        const sum = parts.reduce(
          (total, part) => total + (networkResistance(parts, part.from, part.to) as number) / part.ohms,
          0,
        );
        expect(sum).toBeCloseTo(size - 1, 6);
      }),
    );
  });

  // Rayleigh's monotonicity law (from memory): a further resistor never raises the resistance between two nodes. So a
  // link that is left out for want of a reading can only make the true value lower.
  test("a further resistor never raises it, and it is the same from either end", () => {
    fc.assert(
      fc.property(anyNetwork, fc.double({ min: 0.01, max: 100, noNaN: true }), ({ size, parts }, ohms) => {
        const [a, b] = ["0", String(size - 1)];
        const before = networkResistance(parts, a, b) as number;
        expect(networkResistance(parts, b, a)).toBeCloseTo(before, 9);
        const more = [...parts, { id: "more", from: "0", to: String(Math.floor(size / 2)), ohms }];
        expect(networkResistance(more, a, b) as number).toBeLessThanOrEqual(before * (1 + 1e-9));
      }),
    );
  });

  // By hand: a ladder of a thousand rungs of 1 ohm settles at (1 + sqrt 3) ohm: x = 2 + x / (1 + x) (textbook problem
  // of the endless ladder with 1 ohm in both rails, from memory, high).
  test("a ladder of a thousand rungs has the resistance of the endless one", () => {
    const parts: [string, string, number][] = [];
    for (let i = 0; i < 1000; i++) {
      parts.push([`t${i}`, `t${i + 1}`, 1], [`b${i}`, `b${i + 1}`, 1], [`t${i + 1}`, `b${i + 1}`, 1]);
    }
    expect(networkResistance(network(...parts), "t0", "b0")).toBeCloseTo(1 + Math.sqrt(3), 9);
  });

  test("zero ohm joins two nodes, a loop to itself changes nothing, and no chain means no resistance", () => {
    const parts = network(["a", "b", 0], ["b", "c", 2], ["a", "c", 2], ["c", "c", 7], ["x", "y", 1]);
    expect(networkResistance(parts, "a", "c")).toBeCloseTo(1, 12);
    expect(networkResistance(parts, "a", "b")).toBe(0);
    expect(networkResistance(parts, "c", "c")).toBe(0);
    expect(networkResistance(parts, "a", "x")).toBeNull();
    expect(networkResistance([], "a", "x")).toBeNull();
    expect(networkResistance(network(["a", "b", Number.MIN_VALUE], ["b", "c", 2]), "a", "c")).toBe(2);
  });

  test.each([-1, Number.NaN, Number.POSITIVE_INFINITY])("%d ohm is a caller's mistake", (ohms) => {
    expect(() => networkResistance(network(["a", "b", ohms]), "a", "b")).toThrow(RangeError);
  });
});
