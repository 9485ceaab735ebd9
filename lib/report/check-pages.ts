import type { PDFDocument, PDFFont, PDFPage } from "pdf-lib";
import type { Faces } from "./embed-faces.ts";
import { drawLine, FAINT, INK, PAGE } from "./page-flow.ts";
import { printable } from "./printable.ts";
import { CHECKS_A_PAGE, cautionLetter, type SheetCheck, type VisitSheet } from "./visit-sheet.ts";
import { wrapText } from "./wrap-text.ts";

const MARGIN = 36;
const WIDTH = PAGE.width - 2 * MARGIN;
/** Keeps clear of the page's number, which stands below it. */
const FOOT = 42;
const LEADING = 1.22;
const INDENT = 14;
/** Letters as large as let ten checks stand on one page, points. */
const SIZES = [9, 8.5, 8, 7.5, 7, 6.5, 6] as const;

/** One line of a page of checks, with what it takes of the page. */
type Row =
  | { kind: "text"; text: string; font: PDFFont; size: number; x: number; height: number }
  | { kind: "blanks"; unit: string | null; size: number; height: number }
  | { kind: "rule"; height: number };

/**
 * Pages of ten checks each. Letters shrink until ten checks fit; where even the smallest do not, a page goes on on the
 * next one, so that nothing is lost.
 */
export function drawCheckPages(document: PDFDocument, faces: Faces, sheet: VisitSheet): void {
  for (let from = 0; from < sheet.checks.length; from += CHECKS_A_PAGE) {
    const checks = sheet.checks.slice(from, from + CHECKS_A_PAGE);
    const range = `Checks ${from + 1} to ${from + checks.length} of ${sheet.checks.length}`;
    const plans = SIZES.map((size) => rowsOf(faces, sheet, { checks, from, range, size }));
    const rows = plans.find((each) => heightOf(each) <= PAGE.height - MARGIN - FOOT) ?? (plans.at(-1) as Row[]);
    drawRows(document, faces, rows, range);
  }
}

const heightOf = (rows: readonly Row[]) => rows.reduce((sum, row) => sum + row.height, 0);

interface Chunk {
  checks: readonly SheetCheck[];
  from: number;
  range: string;
  size: number;
}

function rowsOf(faces: Faces, sheet: VisitSheet, { checks, from, range, size }: Chunk): Row[] {
  const text = (words: string, font: PDFFont, letters: number, x = 0): Row[] =>
    wrapText(printable(words, faces.has), WIDTH - x, (line) => faces.widthOf(line, font, letters)).map((line) => ({
      ...{ kind: "text", text: line, font, size: letters, x, height: letters * LEADING },
    }));
  const cited = [...new Set(checks.flatMap((check) => check.cautions))].sort((a, b) => a - b);
  return [
    ...text(`${range}: ${sheet.title}, ${sheet.subtitle}`, faces.bold, size + 1.5),
    ...text(`At every check: ${sheet.always.join(" ")}`, faces.plain, size - 0.5),
    { kind: "rule", height: 5 },
    ...checks.flatMap((check, i) => checkRows(check, { number: from + i + 1, size, faces, text })),
    ...(cited.length > 0 ? text("Cautions of these checks", faces.bold, size) : []),
    ...cited.flatMap((i) => text(`${cautionLetter(i)}: ${sheet.cautions[i]}`, faces.plain, size - 0.5)),
  ];
}

interface Hand {
  number: number;
  size: number;
  faces: Faces;
  text: (words: string, font: PDFFont, letters: number, x?: number) => Row[];
}

function checkRows(check: SheetCheck, { number, size, faces, text }: Hand): Row[] {
  const { answer } = check;
  const outcome = answer.kind === "found" ? `: ${answer.outcome}` : "";
  const letters = check.cautions.toSorted((a, b) => a - b).map(cautionLetter);
  const last = letters.length > 0 ? ` Cautions ${letters.join(", ")}.` : "";
  const lines = check.lines.map((line, i) => (i === check.lines.length - 1 ? `${line}${last}` : line));
  return [
    ...text(`${number}. ${check.title}${outcome}`, faces.bold, size),
    ...lines.flatMap((line) => text(line, faces.plain, size, INDENT)),
    ...(answer.kind === "found"
      ? answer.lines.flatMap((line) => text(line, faces.plain, size, INDENT))
      : [{ kind: "blanks", unit: answer.unit, size, height: size * 1.9 } as const]),
    { kind: "rule", height: 5 },
  ];
}

function drawRows(document: PDFDocument, faces: Faces, rows: readonly Row[], range: string): void {
  let page = document.addPage([PAGE.width, PAGE.height]);
  let y = PAGE.height - MARGIN;
  for (const row of rows) {
    if (y - row.height < FOOT) {
      page = document.addPage([PAGE.width, PAGE.height]);
      y = PAGE.height - MARGIN;
      drawLine(page, `${range}, continued`, { x: MARGIN, y: y - 8, font: faces.bold, size: 8, color: INK });
      y -= 14;
    }
    const at = { x: MARGIN, y };
    if (row.kind === "text") {
      if (row.text !== "")
        drawLine(page, row.text, { x: MARGIN + row.x, y: y - row.size, font: row.font, size: row.size, color: INK });
    } else if (row.kind === "rule") hairline(page, at.x, y - 2, WIDTH);
    else drawBlanks(page, faces, row, at);
    y -= row.height;
  }
}

const hairline = (page: PDFPage, x: number, y: number, length: number) =>
  page.drawLine({ start: { x, y }, end: { x: x + length, y }, thickness: 0.4, color: FAINT });

/** Boxes to tick and lines to write on. */
function drawBlanks(
  page: PDFPage,
  faces: Faces,
  { unit, size }: Extract<Row, { kind: "blanks" }>,
  at: { x: number; y: number },
): void {
  const base = at.y - size * 1.5;
  let x = at.x + INDENT;
  const put = (words: string) => {
    x += drawLine(page, words, { x, y: base, font: faces.plain, size, color: INK });
  };
  for (const outcome of ["pass", "fail", "unable"]) {
    page.drawRectangle({ x, y: base - 1, width: size, height: size, borderWidth: 0.6, borderColor: INK });
    x += size + 3;
    put(outcome);
    x += 8;
  }
  const lines = unit === null ? [] : [`value, ${unit}`, "instrument", "calibrated on"];
  const labels = [...lines, "initials, time"];
  const room = at.x + WIDTH - x - labels.reduce((sum, label) => sum + faces.widthOf(label, faces.plain, size) + 10, 0);
  for (const label of labels) {
    put(label);
    hairline(page, x + 3, base - 1, room / labels.length);
    x += 10 + room / labels.length;
  }
}
