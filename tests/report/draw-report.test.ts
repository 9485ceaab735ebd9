import { getDocument } from "pdfjs-dist/legacy/build/pdf.mjs";
import { describe, expect, test } from "vitest";
import { drawReport } from "../../lib/report/draw-report.ts";
import { printable } from "../../lib/report/printable.ts";
import type { ReportDocument } from "../../lib/report/report-document.ts";
import { wrapText } from "../../lib/report/wrap-text.ts";
import { pdfPages } from "../support/pdf-text.ts";

const solid = (text: string) => text.replace(/\s+/g, "");
const report = (over: Partial<ReportDocument> = {}): ReportDocument => ({
  title: "A title",
  subtitle: "of something",
  facts: [["Label", "value"]],
  sections: [],
  footer: "foot",
  madeAt: Date.UTC(2026, 0, 2, 3, 4, 5),
  ...over,
});

describe("drawReport", () => {
  test("a document longer than a page loses no row, repeats the head of its table and numbers every page", async () => {
    const rows = Array.from({ length: 200 }, (_, i) => [`row ${i}.`, "x".repeat(i)]);
    const table = {
      columns: [
        { head: "Name", share: 1 },
        { head: "Much", share: 2 },
      ],
      rows,
    };
    const pages = await pdfPages(await drawReport(report({ sections: [{ heading: "Long", paragraphs: [], table }] })));
    expect(pages.length).toBeGreaterThan(3);
    const text = solid(pages.map((p) => p.body).join(""));
    for (const [name, much] of rows) expect(text).toContain(solid(`${name}${much}`));
    for (const [i, page] of pages.entries()) {
      expect(page.foot).toBe(`foot page ${i + 1} of ${pages.length}`);
      expect(page.body).toContain("Name");
    }
  });

  test("a cell taller than a page goes on at the top of the next", async () => {
    const words = Array.from({ length: 4000 }, (_, i) => `w${i}`).join(" ");
    const table = { columns: [{ head: "Note", share: 1 }], rows: [[words], ["after it"]] };
    const pages = await pdfPages(await drawReport(report({ sections: [{ heading: "Tall", paragraphs: [], table }] })));
    const text = solid(
      pages
        .map((p) => p.body)
        .join("")
        .replaceAll("Note", ""),
    );
    expect(text).toContain(solid(`${words} after it`));
  });

  test("equal documents are equal bytes, dated by the document and not by the clock", async () => {
    const [a, b] = [await drawReport(report()), await drawReport(report())];
    expect(Buffer.from(a).equals(Buffer.from(b))).toBe(true);
    const loading = getDocument({ data: a, verbosity: 0 });
    const { info } = await (await loading.promise).getMetadata();
    await loading.destroy();
    expect(info).toMatchObject({ CreationDate: "D:20260102030405Z", Title: "A title: of something" });
  });
});

describe("printable", () => {
  const latin = (code: number) => code >= 32 && code < 256;
  test("keeps what the font has, and shows the rest by a stand-in or by its code point", () => {
    expect(printable("é 5 Ω ≥ 1", latin)).toBe("é 5 ohm >= 1");
    expect(printable("Łódź Dvořák", latin)).toBe("[U+0141]ódz Dvorák");
    expect(printable("屋根 🔥", latin)).toBe("[U+5C4B][U+6839] [U+1F525]");
    expect(printable("a\r\nb\tc\u0007", latin)).toBe("a\nb c[U+0007]");
  });
});

describe("wrapText", () => {
  test("no line is too wide and no letter is lost, also in a word wider than the line", () => {
    for (const text of ["one two three four", "a".repeat(37), "short\n\nthen a longer one", "", "   x   y "]) {
      const lines = wrapText(text, 10, (line) => line.length);
      for (const line of lines) expect(line.length).toBeLessThanOrEqual(10);
      expect(solid(lines.join(""))).toBe(solid(text));
    }
  });
});
