import { describe, expect, test } from "vitest";
import { beforeWork } from "../../lib/visit/before-work.ts";
import { checklistFor } from "../../lib/visit/checklist.ts";
import { sampleCoverage } from "../support/sample-coverage.ts";
import { AS_OF, sampleCorrelation, sampleDiagnosis, sampleInspection, sampleRecords } from "../support/sample-site.ts";

const claim = { discoveryId: "D1", what: "open bond", discoveredOn: "2024-05-20" };
const listOf = (over: Parameters<typeof sampleRecords>[0]) =>
  checklistFor({
    records: sampleRecords(over),
    diagnosis: sampleDiagnosis(),
    correlation: sampleCorrelation(),
    asOf: AS_OF,
  });

describe("beforeWork", () => {
  test("a claim site asks the carrier named in its contracts before anything is altered, and keeps parts", () => {
    const [ask, keep] = beforeWork({ claims: [claim], coverage: [sampleCoverage({ noticeTo: "Claims desk" })] }, false);
    expect(ask).toMatchObject({ source: "coverage", step: "ask_carrier" });
    expect(ask?.says).toContain("Ask the carrier before altering: Claims desk");
    expect(keep?.says).toContain("photograph it in place, tag it");
  });
  test("danger to people never waits for an answer", () => {
    const [ask] = beforeWork({ claims: [claim], coverage: [] }, true);
    expect(ask?.says).toContain("does not wait");
    expect(ask?.says).toContain("the same day");
    expect(ask?.says).not.toContain("Ask the carrier before");
  });
  test("without a claim there is no such step", () => {
    expect(beforeWork({ coverage: [sampleCoverage()] }, false)).toEqual([]);
    expect(beforeWork({ claims: [], coverage: [sampleCoverage()] }, false)).toEqual([]);
  });
});

describe("checklist of a covered site", () => {
  test("a claim adds the checks that get what its evidence lacks, at every section", () => {
    const plain = listOf({ coverage: [sampleCoverage()] });
    const claimed = listOf({ coverage: [sampleCoverage()], claims: [claim] });
    const measured = claimed.items.filter((item) => item.check === "bond_resistance" && item.forCoverage.length > 0);
    expect(measured.map((item) => item.sectionId)).toEqual(["A", "B"]);
    expect(measured[0]?.forCoverage.join(" ")).toContain("calibration date");
    expect(claimed.items.length).toBeGreaterThanOrEqual(plain.items.length);
    // The voltage reading still comes first at each place.
    for (const sectionId of ["A", "B"])
      expect(claimed.items.find((item) => item.sectionId === sectionId)?.check).toBe("section_potential");
  });
  test("cover in force says so at checks that are on the list anyway, and adds none", () => {
    const bare = listOf({ coverage: [] });
    const covered = listOf({ coverage: [sampleCoverage()] });
    expect(covered.items.map((i) => [i.check, i.sectionId, i.inverterId])).toEqual(
      bare.items.map((i) => [i.check, i.sectionId, i.inverterId]),
    );
    expect(bare.items.every((item) => item.forCoverage.length === 0)).toBe(true);
    expect(covered.items.some((item) => item.forCoverage.length > 0)).toBe(true);
    expect(
      listOf({ coverage: [sampleCoverage({ endsOn: "2024-05-01" })] }).items.every((i) => i.forCoverage.length === 0),
    ).toBe(true);
  });
  test("what is on file already is not asked for again", () => {
    const good = sampleInspection({
      ...{ value: "0.05", unit: "ohm", instrumentSerial: "M-1", calibratedOn: "2024-01-10", photo: "p.jpg" },
      ...{ inspector: "A", inspectorLicence: "L-1" },
    });
    const says = listOf({ coverage: [sampleCoverage()], inspections: [good] }).items.flatMap((i) => i.forCoverage);
    expect(says.join(" ")).not.toMatch(/calibration date|licence number|dated photo/);
  });
});
