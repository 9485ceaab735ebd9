import { describe, expect, test } from "vitest";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { readGroundingPath } from "../../lib/reads/grounding-path.ts";
import { readPathEdit } from "../../lib/reads/path-edit.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { ChangePathBody, changePath, undoPathChange } from "../../lib/writes/change-path.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

useTestDatabase();
const SITE = "E1";
test("two sites as a drop brings them", async () => {
  await importPaths(LOCAL_ACTOR, [
    dropFolder({
      "sites.csv":
        "site_id,name,portfolio,latitude,longitude,time_zone,dc_kw,ac_kw,nec_edition,battery,separate_array_electrode\n" +
        "E1,One,Book,40,-90,America/Chicago,13,13,2017,none,none\nE2,Two,Book,41,-90,America/Chicago,13,13,2017,none,none\n",
      "inverters.csv":
        "site_id,inverter_id,ac_kw,ac_ocpd_a,egc_awg,egc_material\nE1,I1,13,70,8,copper\nE2,I1,13,70,8,copper\n",
      "sections.csv":
        "site_id,section_id,inverter_id,egc_awg,egc_material,bond_method,bonded_to\n" +
        "E1,A,I1,,,none,\nE1,B,I1,10,copper,lug_and_jumper,bus\nE2,Z,I1,10,copper,clip,bus\n",
    }),
  ]);
  expect(await fields("section", "A")).toMatchObject({ bonded_to: null, bond_method: "none" });
});

const change = (body: object) =>
  changePath(LOCAL_ACTOR, SITE, ChangePathBody.parse({ reason: "seen on site", ...body }));
const path = async () => {
  const found = await readGroundingPath(LOCAL_ACTOR, SITE);
  if (!found) throw new Error("the site is there");
  return found;
};
const edit = async () => {
  const found = await readPathEdit(LOCAL_ACTOR, SITE);
  if (!found) throw new Error("the site is there");
  return found;
};
const fields = async (what: string, id: string) =>
  (await edit()).parts.find((part) => part.what === what && part.id === id)?.fields;
const revision = async () =>
  Number(
    (
      await readTransaction(
        LOCAL_ACTOR,
        (tx) => tx<{ revision: string }[]>`SELECT revision FROM site WHERE site_id = ${SITE}`,
      )
    )[0]?.revision,
  );

describe("changePath", () => {
  test("a changed section raises the revision, moves the path and the score, and is in the history with its old value", async () => {
    await refreshScores(LOCAL_ACTOR, { now: Date.UTC(2026, 10, 1) });
    expect((await path()).isolated).toMatchObject([{ kind: "isolated_section" }]);
    const before = await revision();
    expect(
      await change({
        ...{ what: "section", id: "A", set: { bonded_to: "B", bond_method: "lug_and_jumper" } },
        was: { bonded_to: null, bond_method: "none" },
      }),
    ).toEqual({ changed: ["bonded_to", "bond_method"] });
    expect(await revision()).toBe(before + 1);
    expect((await path()).isolated).toEqual([]);
    const [newest] = (await edit()).history;
    expect(newest).toMatchObject({
      ...{ what: "section", id: "A", reason: "seen on site", setBack: false, undoes: null },
      before: { bonded_to: null, bond_method: "none" },
      after: { bonded_to: "B", bond_method: "lug_and_jumper" },
    });
    const stale = await refreshScores(LOCAL_ACTOR, { now: Date.UTC(2026, 10, 1) });
    expect(stale).toBeDefined();
    const scored = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<{ r: string }[]>`SELECT max(site_revision)::text AS r FROM score WHERE site_id = ${SITE}`,
    );
    expect(Number(scored[0]?.r)).toBe(before + 1);
  });

  test.each([
    [{ bonded_to: "A" }, /cannot be bonded to itself/],
    [{ bonded_to: "Z" }, /Z is no section of site E1.*same site/],
    [{ egc_awg: "5" }, /egc awg "5": not a conductor size/],
    [{ egc_awg: "260kcmil" }, /not a conductor size/],
    [{ hardware_listed: "maybe" }, /not one of yes, no, unknown/],
    [{ ocpd_a: "-3" }, /ocpd a "-3": not amperes above 0, nor none/],
    [{ inverter_id: "I9" }, /cannot be changed here/],
  ])("%j is refused with a sentence and nothing is changed", async (set, says) => {
    const [before, revised] = [await fields("section", "A"), await revision()];
    await expect(change({ what: "section", id: "A", set })).rejects.toMatchObject({
      code: "wrong_use",
      message: expect.stringMatching(says),
    });
    expect(await fields("section", "A")).toEqual(before);
    expect(await revision()).toBe(revised);
  });

  test("a loop of sections is refused and says how it runs", async () => {
    await expect(change({ what: "section", id: "B", set: { bonded_to: "A" } })).rejects.toThrow(/loop: B to A to B/);
  });

  test("what somebody else changed in the meantime is told, and neither value is lost", async () => {
    await expect(
      change({ what: "section", id: "A", set: { egc_awg: "8" }, was: { egc_awg: "12" } }),
    ).rejects.toMatchObject({ code: "conflict", message: expect.stringMatching(/it is now not recorded, not 12/) });
    expect((await fields("section", "A"))?.egc_awg).toBeNull();
  });

  test("the same values again change nothing and leave no entry", async () => {
    const [revised, entries] = [await revision(), (await edit()).history.length];
    expect(await change({ what: "section", id: "A", set: { bonded_to: "B" } })).toEqual({ changed: [] });
    expect(await revision()).toBe(revised);
    expect((await edit()).history.length).toBe(entries);
  });

  test("a disconnect and a load centre stand in the inverter's conductor and each becomes a single point", async () => {
    const stands_in = "inverter_egc inverter:I1 ground_bus";
    await change({ what: "piece", id: "AC1", set: { kind: "ac_disconnect", stands_in, place: "1" }, was: null });
    await change({
      what: "piece",
      id: "LC1",
      set: { kind: "load_centre", stands_in, place: "2", awg: "6", material: "copper" },
    });
    const found = await path();
    expect(found.links.map((link) => link.id)).toEqual(
      expect.arrayContaining([
        "inverter_egc inverter:I1 piece:AC1",
        "inverter_egc piece:AC1 piece:LC1",
        "inverter_egc piece:LC1 ground_bus",
      ]),
    );
    expect(found.links.every((link) => link.status !== "verified")).toBe(true);
    expect(found.links.find((link) => link.id === "inverter_egc piece:LC1 ground_bus")?.size).toBe("6 AWG copper");
    // 70 A device: 8 AWG copper by Table 250.122.
    expect(found.conductors.find((line) => line.name.includes("Load centre"))).toMatchObject({
      verdict: "right",
      required: "8 AWG",
    });
    expect(found.gaps.join(" ")).not.toContain("AC disconnect");
    expect(found.gaps.join(" ")).toContain("Ground bar");
  });

  test.each([
    [{ id: "P1", set: { kind: "flashing", bonded_to: "piece:P1" } }, /cannot be bonded to itself/],
    [{ id: "P1", set: { kind: "flashing", bonded_to: "section:Z" } }, /not on the path of this site/],
    [{ id: "P1", set: { kind: "flashing", section_id: "Z" } }, /no section of this site/],
    [{ id: "P1", set: { kind: "combiner", stands_in: "gec nowhere" } }, /no link "gec nowhere"/],
    [{ id: "P1", set: { kind: "gutter" } }, /not one of combiner/],
    [{ id: "P1", set: { name: "x" } }, /what kind of piece/],
    [{ id: "P1", set: { kind: "flashing", bonded_to: "section:A", stands_in: "x" } }, /give one of the two/],
  ])("piece %j is refused", async (body, says) => {
    await expect(change({ what: "piece", ...body })).rejects.toMatchObject({
      code: "wrong_use",
      message: expect.stringMatching(says),
    });
    expect((await edit()).parts.some((part) => part.id === "P1")).toBe(false);
  });

  test("pieces in a circle are a loop; a bond has two ends that are there; a piece in use stays", async () => {
    await change({ what: "piece", id: "F1", set: { kind: "flashing", section_id: "A" } });
    await change({ what: "piece", id: "F2", set: { kind: "metal_conduit", bonded_to: "piece:F1" } });
    await expect(change({ what: "piece", id: "F1", set: { bonded_to: "piece:F2" } })).rejects.toThrow(/loop/);
    await expect(change({ what: "piece", id: "F1", set: null })).rejects.toThrow(/Piece F2 ends at it/);
    await expect(
      change({ what: "bond", id: "J1", set: { from_point: "section:A", to_point: "section:A" } }),
    ).rejects.toThrow(/to itself/);
    await expect(
      change({ what: "bond", id: "J1", set: { from_point: "section:A", to_point: "section:Z" } }),
    ).rejects.toThrow(/same site/);
    await expect(change({ what: "bond", id: "J1", set: { from_point: "section:A" } })).rejects.toThrow(/both ends/);
    await change({ what: "bond", id: "J1", set: { from_point: "section:A", to_point: "ground_bus", awg: "6" } });
    expect((await path()).links.some((link) => link.id === "further_bond J1")).toBe(true);
  });

  test("a site's electrode and battery are changed the same way", async () => {
    await change({ what: "site", id: SITE, set: { separate_array_electrode: "not_bonded", gec_awg: "4" } });
    expect((await path()).isolated).toMatchObject([{ kind: "rod_not_bonded_back" }]);
    await expect(change({ what: "site", id: "E2", set: { battery: "none" } })).rejects.toThrow(/not this site/);
    await expect(change({ what: "site", id: SITE, set: null })).rejects.toThrow(/comes from a file/);
  });

  test("no reason, no change", () => {
    expect(ChangePathBody.safeParse({ what: "site", id: SITE, set: {}, reason: "  " }).success).toBe(false);
  });
});

describe("undoPathChange", () => {
  test("sets one change back by its number: fields, an added piece, one taken away", async () => {
    const changes = (await edit()).history;
    const of = (what: string, id: string) => changes.find((line) => line.what === what && line.id === id)?.seq ?? 0;
    await undoPathChange(LOCAL_ACTOR, SITE, { seq: of("site", SITE) });
    expect(await fields("site", SITE)).toMatchObject({ separate_array_electrode: "none", gec_awg: null });
    await undoPathChange(LOCAL_ACTOR, SITE, { seq: of("bond", "J1") });
    expect(await fields("bond", "J1")).toBeUndefined();
    const first = (await edit()).history;
    expect(first[0]).toMatchObject({ what: "bond", after: null, undoes: of("bond", "J1"), setBack: false });
    expect(first.find((line) => line.seq === of("bond", "J1"))?.setBack).toBe(true);
    await undoPathChange(LOCAL_ACTOR, SITE, { seq: first[0]?.seq ?? 0 });
    expect(await fields("bond", "J1")).toMatchObject({ from_point: "section:A", to_point: "ground_bus", awg: "6" });
  });

  test("a change that was changed again since is not set back over it", async () => {
    await change({ what: "section", id: "B", set: { egc_awg: "8" } });
    const seq = (await edit()).history[0]?.seq ?? 0;
    await change({ what: "section", id: "B", set: { egc_awg: "6" } });
    await expect(undoPathChange(LOCAL_ACTOR, SITE, { seq })).rejects.toMatchObject({ code: "conflict" });
    expect((await fields("section", "B"))?.egc_awg).toBe("6");
  });

  test("there is no such change of another site", async () => {
    const seq = (await edit()).history[0]?.seq ?? 0;
    await expect(undoPathChange(LOCAL_ACTOR, "E2", { seq })).rejects.toMatchObject({ code: "not_found" });
  });
});
