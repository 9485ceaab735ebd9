import { describe, expect, test } from "vitest";
import { eachSiteOnce } from "../../lib/coverage/loss-book.ts";
import { type SiteIdentity, sitesTwice } from "../../lib/coverage/one-site.ts";

// 0.001 degrees of latitude are 111 m.
const at = (siteId: string, book: string, serials: string[], latitude = 40): SiteIdentity => ({
  ...{ siteId, book, serials, latitude, longitude: -90 },
});

describe("sitesTwice", () => {
  test("one place and one inverter in two books is one site, named with both, in any order", () => {
    const sites = [at("R7", "River", ["SN-100", "SN-101"]), at("N1", "North", ["SN-100"], 40.001)];
    for (const given of [sites, [...sites].reverse()]) {
      const [found, ...more] = sitesTwice(given);
      expect(more).toEqual([]);
      expect(found).toMatchObject({ siteId: "N1", others: ["R7"] });
      expect(found?.says).toContain("N1 (book North) and R7 (book River)");
      expect(found?.says).toContain("serial SN-100: one site in two books?");
    }
  });

  test("a serial elsewhere, another serial here, and words in place of one are no sameness", () => {
    expect(sitesTwice([at("A", "North", ["SN-100"]), at("B", "River", ["SN-100"], 40.01)])).toEqual([]);
    expect(sitesTwice([at("A", "North", ["SN-100"]), at("B", "River", ["SN-200"])])).toEqual([]);
    expect(sitesTwice([at("A", "North", ["unknown", "1"]), at("B", "River", ["unknown", "1"])])).toEqual([]);
    expect(sitesTwice([at("A", "North", ["SN-1", "SN-1"])])).toEqual([]);
  });

  test("three of one are counted as the first; twice in one book is said as that", () => {
    const [found] = sitesTwice([at("C", "South", ["SN-1"]), at("B", "River", ["SN-1"]), at("A", "North", ["SN-1"])]);
    expect(found).toMatchObject({ siteId: "A", others: ["B", "C"] });
    expect(sitesTwice([at("A", "North", ["SN-1"]), at("B", "North", ["SN-1"])])[0]?.says).toContain(
      "one site entered twice?",
    );
  });
});

describe("eachSiteOnce", () => {
  const row = (siteId: string, book: string, net = 1) => ({ draw: { siteId, book }, net });
  const total = (sites: { net: number }[]) => sites.reduce((sum, s) => sum + s.net, 0);

  test("a site that two books claim under one id counts once, in the first by name, and that is said", () => {
    const { sites, says } = eachSiteOnce([row("S1", "River"), row("S1", "North"), row("S2", "River")]);
    expect(sites.map((s) => `${s.draw.siteId} ${s.draw.book}`)).toEqual(["S1 North", "S2 River"]);
    expect(total(sites)).toBe(2);
    expect(says).toEqual([
      expect.stringContaining("Site S1 is in the books North and River: it is counted once, in North"),
    ]);
  });

  test("a site on record under two ids counts once; the other is named and nothing else is lost", () => {
    const twice = [{ siteId: "N1", others: ["R7"], says: "N1 and R7 are one." }];
    const { sites, says, countedAs } = eachSiteOnce(
      [row("R7", "River", 5), row("N1", "North", 5), row("R8", "River", 2)],
      twice,
    );
    expect(total(sites)).toBe(7);
    expect(sites.map((s) => s.draw.siteId)).toEqual(["N1", "R8"]);
    expect(says).toEqual(["N1 and R7 are one."]);
    expect(countedAs).toEqual([{ siteId: "R7", countedAs: "N1" }]);
  });

  test("where the one that would count is not scored, the other counts", () => {
    const twice = [{ siteId: "N1", others: ["R7"], says: "N1 and R7 are one." }];
    expect(eachSiteOnce([row("R7", "River", 5)], twice)).toMatchObject({
      sites: [{ net: 5 }],
      says: [],
      countedAs: [],
    });
  });
});
