import { describe, expect, test } from "vitest";
import { readGroundingPath } from "../../lib/reads/grounding-path.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { BASE_DROP, dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

useTestDatabase();

const HEADER =
  "site_id,inspected_at,check,point_a,point_b,outcome,value,unit,quantity,meter_impedance,method,inspector,inspector_licence";
const READINGS = [
  "S1,2026-03-02T10:00,section_potential,section:B,ground_bus,pass,0.1,volt,dc,high,,Person one,L-1",
  "S1,2026-03-02T10:10,bond_resistance,section:B,ground_bus,pass,0.04,ohm,,,four_wire,Person one,L-1",
];

describe("readGroundingPath", () => {
  test("a drop becomes a path with its verified link, who measured it, and what is open", async () => {
    await importPaths(LOCAL_ACTOR, [
      dropFolder({ ...BASE_DROP, "inspections.csv": `${HEADER}\n${READINGS.join("\n")}\n` }),
    ]);
    const path = await readGroundingPath(LOCAL_ACTOR, "S1");
    const verified = path?.links.filter((link) => link.status === "verified");
    expect(verified).toMatchObject([
      { from: "Section B", to: "Service ground bus", day: "2026-03-02", inspector: "Person one", licence: "L-1" },
    ]);
    expect(path?.frames.find((frame) => frame.label === "Section B")?.resistance).toContain("0.04 ohm");
    expect(path?.singlePoints.find((each) => each.linkId === "section_bond section:A section:B")?.loses).toEqual([
      "Section A",
    ]);
    expect(path?.edition).toBeNull();
    expect(path?.gaps.length).toBeGreaterThan(0);
  });

  test("a failed reading that is imported later shows at once: the link has failed, metal is cut off, a jumper is named", async () => {
    const failed = "S1,2026-03-03T10:00,bond_resistance,section:B,ground_bus,fail,7,ohm,,,four_wire,Person two,L-2";
    await importPaths(LOCAL_ACTOR, [dropFolder({ "inspections.csv": `${HEADER}\n${failed}\n` })]);
    const path = await readGroundingPath(LOCAL_ACTOR, "S1");
    expect(path?.links[0]).toMatchObject({ status: "failed", inspector: "Person two", day: "2026-03-03" });
    expect(path?.isolated).toMatchObject([
      { kind: "isolated_section", members: ["metal:A", "metal:B", "section:A", "section:B"] },
    ]);
    expect(path?.jumpers).toMatchObject([{ from: "section:B", to: "ground_bus", purpose: "reconnects" }]);
  });

  test("there is no path of a site that is not there", async () => {
    expect(await readGroundingPath(LOCAL_ACTOR, "S9")).toBeNull();
  });
});
