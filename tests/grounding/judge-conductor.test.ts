import { describe, expect, test } from "vitest";
import { parseConductorSize } from "../../lib/grounding/conductor-size.ts";
import { arrayGroundConnection } from "../../lib/grounding/gec-sizing.ts";
import { judgeConductor } from "../../lib/grounding/judge-conductor.ts";
import { siteConductors } from "../../lib/grounding/site-conductors.ts";
import {
  AS_OF,
  sampleInspection,
  sampleInverter,
  sampleRecords,
  sampleSection,
  sampleSite,
} from "../support/sample-site.ts";

const acSide = { role: "inverter_egc", material: "copper", ocpdA: 70 } as const;
const dcSide = { role: "section_egc", material: "copper", ocpdA: "none", moduleIscA: 9.5, parallelStrings: 2 } as const;
const gec = { role: "gec", material: "copper", electrode: "rod", serviceConductorAwg: "2/0" } as const;

describe("parseConductorSize", () => {
  test.each([
    ["8", "8"],
    [" 8 AWG ", "8"],
    ["#10", "10"],
    ["1/0", "1/0"],
    ["250KCMIL", "250kcmil"],
    ["250 kcmil", "250kcmil"],
  ])("reads %s", (text, name) => {
    expect(parseConductorSize(text)?.size).toBe(name);
  });
  test.each(["5", "13", "16", "5/0", "260kcmil", "eight", "", "-8"])("%s is no size that is made", (text) => {
    expect(parseConductorSize(text)).toBeNull();
  });
});

describe("judgeConductor", () => {
  // Common practice, no source: a 13 kW rooftop system (240 V single-phase, 70 A device) with 10 AWG copper on the DC
  // string side and 8 AWG copper on the AC side is right; 6 or 8 AWG copper is typical on rooftops.
  test("13 kW on a roof with 10 AWG on the DC side and 8 AWG on the AC side is right", () => {
    expect((13000 / 240) * 1.25).toBeLessThan(70);
    for (const edition of ["2014", "2017", "2020", "2023"]) {
      expect(judgeConductor(edition, { ...acSide, recorded: "8" }).kind).toBe("right");
      expect(judgeConductor(edition, { ...dcSide, recorded: "10" }).kind).toBe("right");
      for (const typical of ["6", "8"])
        expect(judgeConductor(edition, { ...dcSide, recorded: typical }).kind).toBe("right");
    }
  });

  test("a thinner conductor is undersized and says by how many sizes", () => {
    const verdict = judgeConductor("2020", { ...acSide, recorded: "12" });
    expect(verdict).toMatchObject({
      kind: "undersized",
      required: "8",
      recorded: "12",
      stepsShort: 2,
      rule: "250.122",
    });
  });

  test("what is missing is named", () => {
    expect(judgeConductor("2020", { ...acSide, recorded: null })).toMatchObject({
      kind: "cannot_tell",
      missing: ["size"],
    });
    expect(judgeConductor("2020", { ...acSide, recorded: "8", ocpdA: null })).toMatchObject({
      missing: ["rating of the overcurrent device"],
    });
    expect(
      judgeConductor("2020", { ...dcSide, recorded: "10", moduleIscA: null, parallelStrings: null }),
    ).toMatchObject({
      missing: ["module short-circuit current", "parallel strings"],
    });
    expect(judgeConductor("2020", { ...gec, recorded: "6", serviceConductorAwg: null })).toMatchObject({
      missing: ["service conductor size"],
    });
  });

  test("a size that does not exist cannot be judged and is named", () => {
    const verdict = judgeConductor("2020", { ...acSide, recorded: "7" });
    expect(verdict.kind).toBe("cannot_tell");
    expect(JSON.stringify(verdict)).toContain('\\"7\\"');
  });

  test("an edition that is not loaded refuses before anything else", () => {
    for (const conductor of [
      { ...acSide, recorded: null },
      { ...gec, recorded: null, serviceConductorAwg: null },
    ]) {
      expect(judgeConductor(null, conductor)).toEqual({ kind: "edition_not_loaded", edition: null });
      expect(judgeConductor("2026", conductor)).toEqual({ kind: "edition_not_loaded", edition: "2026" });
    }
  });

  test("an unknown material leaves only the verdicts that hold for both", () => {
    expect(judgeConductor("2020", { ...acSide, material: null, recorded: "6" }).kind).toBe("right");
    expect(judgeConductor("2020", { ...acSide, material: null, recorded: "8" })).toMatchObject({
      kind: "cannot_tell",
      missing: ["material"],
    });
    expect(judgeConductor("2020", { ...acSide, material: null, recorded: "10" }).kind).toBe("undersized");
  });

  test("a GEC to an electrode of unknown kind is judged only where a rod's cap would not change it", () => {
    const unknown = { ...gec, electrode: null, serviceConductorAwg: "500kcmil" } as const;
    expect(judgeConductor("2020", { ...unknown, recorded: "1/0" }).kind).toBe("right");
    expect(judgeConductor("2020", { ...unknown, recorded: "6" })).toMatchObject({ kind: "cannot_tell" });
    expect(judgeConductor("2020", { ...unknown, recorded: "8" }).kind).toBe("undersized");
    expect(judgeConductor("2020", { ...unknown, electrode: "rod", recorded: "6" }).kind).toBe("right");
  });
});

describe("arrayGroundConnection", () => {
  // NEC 690.47 as rewritten in 2017 (two trade articles).
  test("is an EGC from 2017 where the system is not solidly grounded, and cannot be told before", () => {
    expect(arrayGroundConnection("2017", "functional")).toMatchObject({ kind: "egc" });
    expect(arrayGroundConnection("2023", "ungrounded")).toMatchObject({ kind: "egc" });
    expect(arrayGroundConnection("2020", "solid")).toMatchObject({ kind: "gec" });
    expect(arrayGroundConnection("2014", "functional")).toMatchObject({ kind: "cannot_tell" });
    expect(arrayGroundConnection("2020", null)).toEqual({ kind: "cannot_tell", missing: ["dc_grounding"] });
    expect(arrayGroundConnection(null, "solid")).toMatchObject({ kind: "edition_not_loaded" });
  });
});

describe("siteConductors", () => {
  test("judges each inverter, each section and the GEC", () => {
    const judged = siteConductors(sampleRecords(), AS_OF);
    expect(judged.map((each) => [each.role, each.sectionId, each.inverterId, each.verdict.kind])).toEqual([
      ["inverter_egc", null, "I1", "right"],
      ["section_egc", "A", "I1", "right"],
      ["section_egc", "B", "I1", "right"],
      ["gec", null, null, "right"],
    ]);
  });

  test("a size read on site counts before the one on file, and not after asOf", () => {
    const read = sampleInspection({ check: "egc_size", sectionId: "A", value: "14", unit: "awg", outcome: "fail" });
    const records = sampleRecords({
      site: sampleSite({ necEdition: "2020" }),
      inverters: [sampleInverter()],
      sections: [sampleSection()],
      inspections: [read],
    });
    expect(siteConductors(records, AS_OF)[1]).toMatchObject({ fromInspection: true, verdict: { kind: "undersized" } });
    expect(siteConductors(records, read.inspectedAt.at - 1)[1]).toMatchObject({
      fromInspection: false,
      verdict: { kind: "right" },
    });
  });
});
