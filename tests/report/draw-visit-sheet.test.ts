import fc from "fast-check";
import { getDocument, OPS } from "pdfjs-dist/legacy/build/pdf.mjs";
import sharp from "sharp";
import { beforeAll, describe, expect, test } from "vitest";
import { drawVisitSheet } from "../../lib/report/draw-visit-sheet.ts";
import { readingRuns } from "../../lib/report/reading-runs.ts";
import { CHECKS_A_PAGE, cautionLetter, type SheetCheck, type VisitSheet } from "../../lib/report/visit-sheet.ts";
import { pdfPages } from "../support/pdf-text.ts";

const solid = (text: string) => text.replace(/\s+/g, "");

const check = (i: number, over: Partial<SheetCheck> = {}): SheetCheck => ({
  title: `Check number ${i}, section S${i}`,
  lines: [
    `Section S${i}: look for the jumper or listed bonding hardware that joins this section to the next or to the ground bus, and follow it end to end.`,
    "Accept: There, undamaged, tight by sight, both ends on bare metal. Reference: NEC 690.43 (2017).",
    "Photo: Both ends of the jumper. Tools: four-wire low-resistance meter, high-impedance multimeter.",
  ],
  cautions: [i % 3],
  answer: { kind: "blank", unit: i % 2 === 0 ? "ohm" : null },
  ...over,
});

const sheet = (checks: SheetCheck[], over: Partial<VisitSheet> = {}): VisitSheet => ({
  title: "Grounding checklist",
  subtitle: "A site",
  facts: [["Code edition", "NEC 2017"]],
  cover: [{ heading: "Why", paragraphs: ["Because it rains."] }],
  always: ["Treat all metal as live."],
  cautions: ["First caution in full.", "Second caution in full.", "Third caution in full."],
  checks,
  signatures: [],
  photos: [],
  footer: "S1, visit-1-S1, code edition NEC 2017",
  madeAt: Date.UTC(2026, 0, 2, 3, 4, 5),
  ...over,
});

const checkPages = async (of: VisitSheet) =>
  (await pdfPages(await drawVisitSheet(of))).filter((page) => /^Checks \d+ to \d+ of \d+:/.test(page.body));

let jpeg: Uint8Array;
beforeAll(async () => {
  jpeg = await sharp({ create: { width: 60, height: 40, channels: 3, background: "#336699" } })
    .jpeg()
    .toBuffer();
});

describe("drawVisitSheet", () => {
  test.each([1, 9, 10, 11, 20, 34])("%i checks take one page for every ten", async (n) => {
    const pages = await checkPages(sheet(Array.from({ length: n }, (_, i) => check(i + 1))));
    expect(pages.length).toBe(Math.ceil(n / CHECKS_A_PAGE));
    pages.forEach((page, p) => {
      const numbers = [...page.body.matchAll(/Check number (\d+),/g)].map((match) => Number(match[1]));
      const first = p * 10 + 1;
      const most = Math.min(n, first + 9);
      expect(numbers).toEqual(Array.from({ length: most - first + 1 }, (_, i) => first + i));
    });
  });

  test("every word of the sheet is in the print, and each page of checks says its cautions in full", async () => {
    const of = sheet(Array.from({ length: 13 }, (_, i) => check(i + 1)));
    const pages = await pdfPages(await drawVisitSheet(of));
    const text = solid(pages.map((page) => page.body).join(""));
    for (const { title, lines } of of.checks) for (const each of [title, ...lines]) expect(text).toContain(solid(each));
    for (const words of ["Code edition", "NEC 2017", "Because it rains.", "Signature", "Licence"])
      expect(text).toContain(solid(words));
    for (const page of pages.filter((each) => each.body.startsWith("Checks "))) {
      expect(page.body).toContain("Treat all metal as live.");
      for (const caution of of.cautions) expect(solid(page.body)).toContain(solid(caution));
    }
    expect(pages.map((page) => page.foot)).toEqual(
      pages.map((_, i) => `${of.footer} page ${i + 1} of ${pages.length}`),
    );
  });

  test("what does not fit ten to a page goes on on the next one and nothing is lost", async () => {
    const lines = Array.from(
      { length: 30 },
      (_, i) => `Reading ${i} of many, by a person with a long name and a licence.`,
    );
    const checks = Array.from({ length: 10 }, (_, i) =>
      check(i + 1, { answer: { kind: "found", outcome: "fail", lines: lines.map((line) => `${i}/${line}`) } }),
    );
    const pages = await pdfPages(await drawVisitSheet(sheet(checks)));
    const text = solid(pages.map((page) => page.body.replaceAll("Checks 1 to 10 of 10, continued", "")).join(""));
    checks.forEach((_, i) => {
      for (const line of lines) expect(text).toContain(solid(`${i}/${line}`));
    });
    expect(pages.some((page) => page.body.startsWith("Checks 1 to 10 of 10, continued"))).toBe(true);
  });

  test("names in other scripts are drawn as they are, and what the font has not is shown by its code point", async () => {
    const names = ["Łódź Dvořák", "Ωμέγα ≥ 5 Ω", "Жуков Їжак", "Nguyễn Thị"];
    const bytes = await drawVisitSheet(sheet([check(1, { title: names.join(", ") })], { subtitle: names.join("; ") }));
    const text = (await pdfPages(bytes)).map((page) => page.body).join(" ");
    for (const name of names) expect(text).toContain(name);
    const odd = await drawVisitSheet(sheet([check(1, { title: "屋根 🔥 \u0007 x" })]));
    expect((await pdfPages(odd)).map((page) => page.body).join(" ")).toContain("[U+5C4B][U+6839] [U+1F525] [U+0007] x");
  });

  test("no text whatever breaks it", async () => {
    await fc.assert(
      fc.asyncProperty(fc.string({ unit: "binary", maxLength: 60 }), async (name) => {
        const bytes = await drawVisitSheet(sheet([check(1, { title: name })], { subtitle: name, footer: name }));
        expect((await pdfPages(bytes)).length).toBe(2);
      }),
      { numRuns: 25 },
    );
  });

  test("photos stand four a page with their captions, also one whose file is gone", async () => {
    const photos = Array.from({ length: 5 }, (_, i) => ({
      number: i + 1,
      caption: `Caption of photo ${i + 1} in words.`,
      jpeg: i === 2 ? null : jpeg,
    }));
    const bytes = await drawVisitSheet(sheet([check(1)], { photos }));
    const pages = await pdfPages(bytes);
    expect(pages.length).toBe(1 + 1 + 2);
    photos.forEach(({ caption }, i) => {
      expect(solid(pages[2 + Math.floor(i / 4)]?.body ?? "")).toContain(solid(`Photo ${i + 1}. ${caption}`));
    });
    const loading = getDocument({ data: Uint8Array.from(bytes), verbosity: 0 });
    const pdf = await loading.promise;
    const images = async (n: number) => {
      const { fnArray } = await (await pdf.getPage(n)).getOperatorList();
      return fnArray.filter((fn) => fn === OPS.paintImageXObject).length;
    };
    expect([await images(2), await images(3), await images(4)]).toEqual([0, 3, 1]);
    await loading.destroy();
  });

  test("a signature is in the print with licence, time and zone", async () => {
    const signatures = [
      { name: "A. Tester", licence: "L-1", when: "2026-11-02T10:00:00-05:00 (America/New_York)", says: "" },
    ];
    const text = (await pdfPages(await drawVisitSheet(sheet([check(1)], { signatures })))).map((p) => p.body).join(" ");
    expect(solid(text)).toContain(
      solid("Signed by A. Tester, licence L-1, 2026-11-02T10:00:00-05:00 (America/New_York)."),
    );
  });

  test("equal sheets are equal bytes", async () => {
    const [a, b] = [await drawVisitSheet(sheet([check(1)])), await drawVisitSheet(sheet([check(1)]))];
    expect(Buffer.from(a).equals(Buffer.from(b))).toBe(true);
  });
});

describe("cautionLetter", () => {
  test("counts a to z, then aa", () => {
    expect([0, 25, 26, 27, 52].map(cautionLetter)).toEqual(["a", "z", "aa", "ab", "ba"]);
  });
});

describe("readingRuns", () => {
  test("tells the pieces that run right to left from the rest and loses no letter", () => {
    expect(readingRuns("site אבג דה 5, east")).toEqual(["site ", "אבג דה", " 5, east"]);
    expect(readingRuns("")).toEqual([""]);
    fc.assert(
      fc.property(fc.string({ unit: "binary" }), (text) => {
        expect(readingRuns(text).join("")).toBe(text);
      }),
    );
  });
});
