import { createHash } from "node:crypto";
import { describe, expect, test } from "vitest";
import { CONTRACT_FILES } from "../../lib/contract/files.ts";
import { rowParser } from "../../lib/contract/row-parser.ts";
import { demoDrop } from "../../seed/drop.ts";
import { DEMO, makeWorld } from "../../seed/world.ts";

const SMALL = { ...DEMO, sites: 24, days: 120 };

function hash(seed: string): string {
  const h = createHash("sha256");
  for (const { file, header, rows } of demoDrop(makeWorld({ ...SMALL, seed }))) {
    h.update(file).update(header.join());
    for (const row of rows()) h.update(row.join());
  }
  return h.digest("hex");
}

describe("demoDrop", () => {
  test("is the same to the byte for the same seed, and another for another", () => {
    expect(hash("demo")).toBe(hash("demo"));
    expect(hash("demo")).not.toBe(hash("other"));
  });

  test("every row of every file is usable by the contract's rules", () => {
    const world = makeWorld(SMALL);
    const sites = new Set(world.sites.map((s) => s.siteId));
    const known = {
      zoneOf: (id: string) => (sites.has(id) ? "America/Chicago" : undefined),
      hasInverter: () => true,
      hasSection: () => true,
    };
    const files = demoDrop(world);
    expect(files.map((f) => f.file)).toEqual(CONTRACT_FILES.map((s) => `${s.kind}.csv`));
    for (const { file, header, rows } of files) {
      const spec = CONTRACT_FILES.find((s) => `${s.kind}.csv` === file);
      if (!spec) throw new Error(file);
      const parser = rowParser(spec, header, known);
      expect(parser.unknownColumns, file).toEqual([]);
      let line = 1;
      for (const cells of rows()) {
        const parsed = parser.parse({ cells, line: ++line });
        expect("reason" in parsed ? `${file}:${line} ${parsed.column} ${parsed.reason}` : "ok").toBe("ok");
      }
    }
  });

  test("plants what the tests ask for: open bonds, silent conductors, a far site, a wrong clock and recorded hazards", () => {
    const { sites } = makeWorld(DEMO);
    const of = (kind: string) => sites.filter((s) => s.planted.kind === kind).length;
    expect(of("open_section_bond")).toBeGreaterThanOrEqual(10);
    expect(of("egc_undersized")).toBeGreaterThanOrEqual(4);
    expect(of("healthy")).toBeGreaterThanOrEqual(40);
    expect(sites.some((s) => s.clockHours !== 0)).toBe(true);
    expect(sites.filter((s) => s.hazard !== null).length).toBeGreaterThanOrEqual(3);
  });
});
