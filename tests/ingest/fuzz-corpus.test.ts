import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { importBase, importOnce, setAsideText } from "../fuzz/import-case.ts";
import { useTestDatabase } from "../support/test-database.ts";

useTestDatabase();
const CORPUS = path.resolve(import.meta.dirname, "../data/fuzz-corpus");
/** Refused as a whole, in words: reading it through would take hours. */
const REFUSED = new Set(["set-aside-rows-of-ten-thousand-files"]);

/** Where it is not the crash that mattered: rows accepted and set aside. */
const COUNTS: Record<string, [number, number]> = {
  "isd-lite-month-thirteen": [1, 1],
  "last-moment-of-a-day": [1, 0],
  "number-too-small-for-a-double": [2, 0],
  "whole-number-written-as-2.0-and-1e2": [3, 0],
  "one-line-of-many-million-characters": [2, 1],
  "a-quoted-cell-of-many-million-characters": [2, 2],
  "faults-in-every-month-of-130-years": [1560, 0],
  "metar-with-a-run-of-equals-signs": [2, 0],
};

describe("drops that once broke a reader", () => {
  beforeAll(importBase);
  const cases = readdirSync(CORPUS, { withFileTypes: true }).filter((entry) => entry.isDirectory());
  test.each(cases.map((entry) => entry.name))("%s", async (name) => {
    const folder = path.join(CORPUS, name);
    const files = Object.fromEntries(
      readdirSync(folder).map((file) => [file, readFileSync(path.join(folder, file))] as const),
    );
    const done = await importOnce(files);
    expect(done === null).toBe(REFUSED.has(name));
    if (!done) return;
    const rows = done.files.reduce((sum, f) => sum + f.rows, 0);
    expect(rows).toBeGreaterThan(0);
    const sum = (of: "accepted" | "set_aside") => done.files.reduce((n, f) => n + f[of], 0);
    if (COUNTS[name]) expect([sum("accepted"), sum("set_aside")]).toEqual(COUNTS[name]);
    const again = await importOnce(files);
    expect(again?.files.map((f) => f.accepted)).toEqual(done.files.map(() => 0));
    const text = await setAsideText(done.importId);
    expect(text.length).toBeLessThan(60_000_000);
    // No cell that leaves the house is a formula to a spreadsheet.
    if (text.length < 100_000) expect(text).not.toMatch(/(^|,)"?[=@\t]/m);
  });
});
