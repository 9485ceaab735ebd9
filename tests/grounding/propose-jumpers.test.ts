import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { SiteRecords } from "../../lib/core/records.ts";
import { bondingPath } from "../../lib/grounding/bonding-path.ts";
import { isolatedPieces } from "../../lib/grounding/isolated-pieces.ts";
import { reachableFrom } from "../../lib/grounding/path-pieces.ts";
import { proposeJumpers } from "../../lib/grounding/propose-jumpers.ts";
import { AS_OF, sampleInspection, sampleRecords, sampleSection, sampleSite } from "../support/sample-site.ts";

const BARE = { bondedTo: null, egcAwg: null, bondMethod: "none" } as const;
const propose = (records: SiteRecords) => proposeJumpers(records, bondingPath(records, AS_OF));

describe("isolatedPieces", () => {
  test("tells an isolated section, a rod not bonded back, a floating battery and a bus without electrode apart", () => {
    const records = sampleRecords({
      site: sampleSite({ separateArrayElectrode: "not_bonded", battery: "separate_electrode" }),
      sections: [sampleSection(), sampleSection({ sectionId: "B", ...BARE })],
      inspections: [
        sampleInspection({ check: "battery_electrode", outcome: "fail" }),
        sampleInspection({ check: "bond_resistance", pointA: "ground_bus", pointB: "electrode", outcome: "fail" }),
        sampleInspection({ check: "egc_continuous", inverterId: "I1", outcome: "fail" }),
        sampleInspection({ check: "all_metal_bonded", sectionId: "A", outcome: "fail" }),
      ],
    });
    const kinds = isolatedPieces(bondingPath(records, AS_OF)).map((piece) => piece.kind);
    expect(kinds.sort()).toEqual([
      "floating_battery",
      "isolated_metal",
      "isolated_section",
      "rod_not_bonded_back",
      "service_without_electrode",
    ]);
  });

  test("a battery on the common electrode is a link to verify, and floats once that link failed", () => {
    const site = sampleSite({ battery: "common_electrode" });
    expect(bondingPath(sampleRecords({ site }), AS_OF).cutOff).toEqual([]);
    const failed = sampleInspection({ check: "battery_electrode", outcome: "fail" });
    const path = bondingPath(sampleRecords({ site, inspections: [failed] }), AS_OF);
    expect(isolatedPieces(path)).toMatchObject([{ kind: "floating_battery", members: ["battery"] }]);
  });
});

describe("proposeJumpers", () => {
  // 250.102(D) sizes such a jumper by 250.122 (from memory): Isc 9.5 A x 2 strings x 1.5625 = 29.7 A, 10 AWG copper.
  test("an isolated section gets a jumper along the missing bond with its size and both warnings", () => {
    const [jumper, ...rest] = propose(
      sampleRecords({ sections: [sampleSection(), sampleSection({ sectionId: "B", ...BARE })] }),
    );
    expect(rest).toEqual([]);
    expect(jumper).toMatchObject({
      from: "section:B",
      to: "ground_bus",
      linkId: "section_bond section:B ground_bus",
      purpose: "reconnects",
      size: { kind: "size", size: "10" },
    });
    expect(jumper?.warnings).toMatch(/measure AC and DC voltage across the gap/);
    expect(jumper?.warnings).toMatch(/proven/);
    expect(jumper?.warnings).toMatch(/does not remove the leak/);
    expect(jumper?.warnings).toMatch(/Never open a bond/);
  });

  test("a failed bond beside a conductor that may hold is restored, not called cut off", () => {
    const failed = sampleInspection({ check: "section_jumper", sectionId: "A", outcome: "fail" });
    expect(propose(sampleRecords({ inspections: [failed] }))).toMatchObject([
      { purpose: "restores", linkId: "section_bond section:A ground_bus" },
    ]);
  });

  test("without an edition or short-circuit current no size is named", () => {
    const sections = [sampleSection({ ...BARE, moduleIscA: null })];
    expect(propose(sampleRecords({ sections }))[0]?.size).toMatchObject({ kind: "cannot_tell" });
    const site = sampleSite({ necEdition: null });
    expect(propose(sampleRecords({ site, sections: [sampleSection(BARE)] }))[0]?.size).toMatchObject({
      kind: "cannot_tell",
    });
  });

  test("with the proposed jumpers every piece reaches the service ground, and none of those is one too many", () => {
    const ids = ["A", "B", "C", "D", "E"];
    const any = fc.record({
      bonds: fc.array(fc.tuple(fc.constantFrom(...ids, "bus", "Z", null), fc.boolean()), {
        minLength: 5,
        maxLength: 5,
      }),
      failed: fc.subarray(ids),
      electrode: fc.constantFrom("none", "bonded", "not_bonded"),
    });
    fc.assert(
      fc.property(any, ({ bonds, failed, electrode }) => {
        const records = sampleRecords({
          site: sampleSite({ separateArrayElectrode: electrode as "none" }),
          sections: bonds.map(([bondedTo, egc], i) =>
            sampleSection({
              sectionId: ids[i] as string,
              bondedTo,
              ...(egc ? {} : { egcAwg: null, bondMethod: "none" }),
            }),
          ),
          inspections: failed.map((sectionId) =>
            sampleInspection({ check: "section_jumper", sectionId, outcome: "fail" }),
          ),
        });
        const path = bondingPath(records, AS_OF);
        const needed = proposeJumpers(records, path).filter((each) => each.purpose === "reconnects");
        const holding = path.edges.filter((edge) => edge.status !== "failed" && edge.status !== "missing");
        const with_ = (jumpers: typeof needed) =>
          reachableFrom("ground_bus", [
            ...holding,
            ...jumpers.map((each, i) => ({ id: `j${i}`, from: each.from, to: each.to })),
          ]).size;
        expect(with_(needed)).toBe(path.nodes.length);
        for (const one of needed) expect(with_(needed.filter((each) => each !== one))).toBeLessThan(path.nodes.length);
      }),
      { numRuns: 300 },
    );
  });
});
