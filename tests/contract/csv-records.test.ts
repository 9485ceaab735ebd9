import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type CsvRecord, CsvSplitter, csvLine } from "../../lib/contract/csv-records.ts";

function split(text: string, pieces = [text.length]): CsvRecord[] {
  const splitter = new CsvSplitter();
  const out: CsvRecord[] = [];
  let at = 0;
  for (const size of pieces) {
    out.push(...splitter.push(text.slice(at, at + size)));
    at += size;
  }
  out.push(...splitter.push(text.slice(at)), ...splitter.end());
  return out;
}

describe("CsvSplitter", () => {
  test("reads quoted commas, doubled quotes, quoted line ends, CRLF, a BOM and blank lines, with the line each record starts on", () => {
    const text = '\ufeffa,b\r\n"1,5","say ""x"""\r\n\r\n"two\r\nlines",z\nlast,one';
    expect(split(text)).toEqual([
      { cells: ["a", "b"], line: 1 },
      { cells: ["1,5", 'say "x"'], line: 2 },
      { cells: ["two\r\nlines", "z"], line: 4 },
      { cells: ["last", "one"], line: 6 },
    ]);
  });

  test("gives the same records however the text is cut into pieces", () => {
    const cell = fc.string({ unit: fc.constantFrom("a", "b", ",", '"', "\n", "\r", " ", "é"), maxLength: 6 });
    const table = fc.array(fc.array(cell, { minLength: 2, maxLength: 4 }), { minLength: 1, maxLength: 8 });
    fc.assert(
      fc.property(table, fc.array(fc.integer({ min: 1, max: 7 }), { maxLength: 40 }), (rows, pieces) => {
        const text = rows.map(csvLine).join("");
        expect(split(text, pieces).map((r) => r.cells)).toEqual(rows);
      }),
    );
  });

  test("a quote that is never closed costs its own line only", () => {
    const records = split('a,b\n"open,1\nnext,2\n');
    expect(records[1]).toMatchObject({ line: 2, broken: expect.stringContaining("not closed") });
    expect(records[2]).toEqual({ cells: ["next", "2"], line: 3 });
  });

  test("text after a closing quote breaks its own record only", () => {
    const records = split('"x"y,1\nnext,2\n');
    expect(records[0]?.broken).toContain("closing quote");
    expect(records[1]?.cells).toEqual(["next", "2"]);
  });

  test("arbitrary text never throws", () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 200 }), (text) => {
        expect(split(text).every((r) => r.cells.length > 0 && r.line >= 1)).toBe(true);
      }),
      { numRuns: 300 },
    );
  });
});
