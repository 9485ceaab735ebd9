import { describe, expect, test } from "vitest";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { readScore } from "../../lib/reads/score.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

useTestDatabase();
const SITES = ["A", "B", "C", "D", "E"];
const INSTALLER = { A: "Ridgework", B: "Ridgework", C: "Ridgework", D: "Ridgework", E: "Halden" } as Record<
  string,
  string
>;
/** Sites, one month of quiet log, and the inspections given. */
const drop = (inspections: string[], until: string) =>
  dropFolder({
    "sites.csv": `site_id,name,portfolio,latitude,longitude,time_zone,dc_kw,ac_kw,installer\n${SITES.map((s) => `${s},${s},Book,39,-95,UTC,10,8,${INSTALLER[s]}\n`).join("")}`,
    "inverters.csv": `site_id,inverter_id,ac_kw\n${SITES.map((s) => `${s},I1,8\n`).join("")}`,
    "sections.csv": `site_id,section_id,inverter_id\n${SITES.map((s) => `${s},1,I1\n${s},2,I1\n`).join("")}`,
    "faults.csv": `site_id,inverter_id,started_at,ended_at,code\n${SITES.map((s) => `${s},I1,2026-01-01T12:00:00Z,2026-01-01T13:00:00Z,OTHER\n${s},I1,${until}T12:00:00Z,${until}T13:00:00Z,OTHER\n`).join("")}`,
    ...(inspections.length > 0
      ? { "inspections.csv": `site_id,inspected_at,check,outcome\n${inspections.map((i) => `${i}\n`).join("")}` }
      : {}),
  });

async function score(now: string, inspections: string[]) {
  await importPaths(LOCAL_ACTOR, [drop(inspections, now)]);
  const at = { now: Date.parse(`${now}T18:00:00Z`) };
  // What was found at one site bears on others, which are taken in by the same call, and nothing is left stale.
  await refreshScores(LOCAL_ACTOR, at);
  expect(await refreshScores(LOCAL_ACTOR, at)).toEqual({ scored: 0 });
  const { sites } = await readScore(LOCAL_ACTOR, {});
  return (id: string) => {
    const found = sites.find((s) => s.site_id === id);
    if (!found) throw new Error(`no score of ${id}`);
    return found;
  };
}

describe("an installer's habit", () => {
  test("what was found at his sites raises his others, not the site itself nor another installer's, and is said", async () => {
    const before = await score("2026-02-01", []);
    expect(before("C").evidence.map((e) => e.source)).not.toContain("shared");
    const found = ["A,2026-02-10,section_jumper,fail", "B,2026-02-11,section_jumper,fail"];
    const after = await score("2026-03-01", found);
    const item = after("C").evidence.find((e) => e.source === "shared");
    expect(item?.says).toMatch(/installer Ridgework: open section bond 2 of 2/);
    expect(item?.decibans).toBeGreaterThan(0.5);
    expect(after("C").causes.open_section_bond).toBeGreaterThan(1.3 * before("C").causes.open_section_bond);
    expect(after("C").shared_log_odds?.open_section_bond).toBeGreaterThan(0.3);
    // A hears of B alone: its own find is not counted a second time.
    expect(after("A").evidence.find((e) => e.source === "shared")?.says).toMatch(/open section bond 1 of 1/);
    expect(after("E").evidence.map((e) => e.source)).not.toContain("shared");
    const sum = after("C").evidence.reduce((total, e) => total + e.decibans, 0);
    const { p } = after("C").bonding_defect;
    expect(sum).toBeCloseTo(10 * Math.log10(p / (1 - p)), 6);
  });

  test("a find where the group had already raised the belief counts against what the site alone would have said", async () => {
    await score("2026-04-01", ["C,2026-03-10,section_jumper,fail"]);
    const rows = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<
        { site: string; stated: number }[]
      >`SELECT site_id AS site, (stated ->> 'open_section_bond')::float8 AS stated
        FROM site_outcome ORDER BY site_id`,
    );
    expect(rows.map((r) => r.site)).toEqual(["A", "B", "C"]);
    // The three sites are alike but for what the group added to C before its visit, and that is taken out again.
    expect(rows[2]?.stated).toBeCloseTo(rows[0]?.stated as number, 2);
  });

  test("as of an instant before the finds, nothing of them is used", async () => {
    const { sites } = await readScore(LOCAL_ACTOR, { "as-of": Date.parse("2026-02-05T00:00:00Z") });
    expect(sites.flatMap((s) => s.evidence.map((e) => e.source))).not.toContain("shared");
  });
});
