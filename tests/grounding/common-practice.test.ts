import { describe, expect, test } from "vitest";
import { awg as awgCell, oneOf } from "../../lib/contract/cell.ts";
import type { SiteRecords } from "../../lib/core/records.ts";
import { CHECKS } from "../../lib/core/records.ts";
import { bondingPath } from "../../lib/grounding/bonding-path.ts";
import { codeReference } from "../../lib/grounding/code-reference.ts";
import { judgeConductor } from "../../lib/grounding/judge-conductor.ts";
import { pathReport } from "../../lib/grounding/path-report.ts";
import {
  AS_OF,
  sampleInspection,
  sampleInverter,
  sampleRecords,
  sampleRepair,
  sampleSection,
  sampleSite,
} from "../support/sample-site.ts";

// Common practice, no source, unless a line says otherwise.
describe("common practice", () => {
  test("6 or 8 AWG copper is enough on a rooftop, whatever a usual device", () => {
    for (const recorded of ["6", "8"])
      for (const ocpdA of [15, 20, 30, 40, 60, 70, 90, 100])
        expect(judgeConductor("2020", { role: "inverter_egc", material: "copper", ocpdA, recorded }).kind).toBe(
          "right",
        );
  });

  test("a rod shorter than 8 ft is said, one of 8 ft is not", () => {
    const notices = (electrodeLengthFt: number) =>
      pathReport(sampleRecords({ site: sampleSite({ electrodeLengthFt }) }), AS_OF).notices;
    expect(notices(6).join()).toMatch(/6 ft long: at least 8 ft.*NEC 250\.53\(G\) \(2017\)/);
    expect(notices(8)).toEqual([]);
  });

  test("aluminum brings the look for earth and masonry, copper does not", () => {
    const looks = (egcMaterial: "copper" | "aluminum") =>
      pathReport(sampleRecords({ sections: [sampleSection({ egcMaterial, egcAwg: "8" })] }), AS_OF).looks.filter(
        (look) => look.asks.includes("neither earth nor masonry"),
      );
    expect(looks("aluminum").flatMap((look) => look.at)).toEqual(["EGC of section A"]);
    expect(looks("copper")).toEqual([]);
  });

  test.each([
    ["each section its own jumper and conductor, joined before the service", {}, {}],
    ["sections jumpered to one another and on to one conductor", { bondedTo: "A", egcAwg: null }, { bondedTo: null }],
  ])("%s: nothing is cut off", (_, b, a) => {
    const sections = [sampleSection(a), sampleSection({ sectionId: "B", ...b })];
    expect(bondingPath(sampleRecords({ sections }), AS_OF).cutOff).toEqual([]);
  });
});

describe("what the array's connection to ground is", () => {
  // NEC 690.47 as rewritten in 2017 (two trade articles); before, it cannot be told from the records.
  test.each([
    ["2017", "functional", /is an equipment grounding conductor.*690\.47\(A\), 250\.122, 2017/],
    ["2023", "ungrounded", /is an equipment grounding conductor/],
    ["2020", "solid", /grounding electrode conductor, in one length or irreversibly spliced/],
    ["2014", "functional", /cannot be told/],
    ["2020", "unknown", /cannot be told: dc grounding not recorded/],
    [null, "functional", /code edition is not recorded/],
  ] as const)("edition %s, %s", (necEdition, dcGrounding, says) => {
    const records = sampleRecords({ site: sampleSite({ necEdition }), inverters: [sampleInverter({ dcGrounding })] });
    expect(pathReport(records, AS_OF).connections).toEqual([expect.stringMatching(says)]);
  });
});

describe("the bonding jumper at the service", () => {
  // 2/0 service: 4 AWG copper by Table 250.102(C)(1) if it is copper; 6 AWG if aluminum. The thicker stands.
  test("is named with the minimum that holds for either material, and is never called right", () => {
    const line = (records: SiteRecords) =>
      pathReport(records, AS_OF).conductors.find((each) => each.name === "Bonding jumper at the service");
    expect(line(sampleRecords())).toMatchObject({
      required: "4 AWG copper",
      verdict: "cannot_tell",
      recorded: "not recorded",
    });
    expect(line(sampleRecords({ site: sampleSite({ serviceConductorAwg: null }) }))?.required).toBe("cannot be told");
    expect(line(sampleRecords({ site: sampleSite({ necEdition: null }) }))?.verdict).toBe("edition_not_loaded");
  });
});

describe("rapid shutdown (690.12) is another matter", () => {
  test("no record of it moves a link, a size or a jumper", () => {
    const plain = sampleRecords({
      inspections: [sampleInspection({ check: "enclosure_dry", sectionId: "A" })],
      repairs: [sampleRepair({ cause: "none_found" })],
    });
    const told = sampleRecords({
      inspections: [
        sampleInspection({
          check: "enclosure_dry",
          sectionId: "A",
          note: "690.12 rapid shutdown tested: 80 V in 30 s, pass",
        }),
      ],
      repairs: [sampleRepair({ cause: "none_found", action: "rapid shutdown initiator replaced, 690.12 passed" })],
    });
    const shown = (records: SiteRecords) => {
      const report = pathReport(records, AS_OF);
      return { ...report, links: report.links.map((link) => ({ ...link, says: link.says })) };
    };
    expect(shown(told)).toEqual(shown(plain));
    expect(shown(told).links.every((link) => link.status !== "verified")).toBe(true);
  });

  test("there is no such check to import, and no reference to it", () => {
    expect(oneOf(CHECKS).safeParse("rapid_shutdown").success).toBe(false);
    for (const check of CHECKS) expect(codeReference(check, "2023")).not.toContain("690.12");
  });
});

describe("conductor sizes on the way in and on the way through", () => {
  test("an import and a judgement take the same sizes", () => {
    for (const size of ["14", "8", "1/0", "4/0", "250kcmil", "2000kcmil", "5", "5/0", "260kcmil", "0"]) {
      const judged = judgeConductor("2020", { role: "inverter_egc", material: "copper", ocpdA: 15, recorded: size });
      expect(judged.kind === "right").toBe(awgCell.safeParse(size).success);
    }
  });
});
