import { type PDFDocument, type PDFFont, type PDFPage, rgb } from "pdf-lib";
import { embedFaces, type Faces } from "./embed-faces.ts";
import { printable } from "./printable.ts";
import { readingRuns } from "./reading-runs.ts";
import type { ReportTable } from "./report-document.ts";
import { wrapText } from "./wrap-text.ts";

/** Points. A4 is narrower than US letter and letter is shorter: a page that takes the less of both prints on either. */
export const PAGE = { width: 595, height: 792 };
const MARGIN = 50;
const WIDTH = PAGE.width - 2 * MARGIN;
const LEADING = 1.35;
const CELL_GAP = 6;
export const INK = rgb(0.1, 0.1, 0.1);
export const FAINT = rgb(0.4, 0.4, 0.4);

interface Style {
  size: number;
  bold?: boolean;
  after?: number;
}

/** Draw one line that may hold writing of both directions. @returns its width, points */
export function drawLine(
  page: PDFPage,
  line: string,
  { x, ...style }: { x: number; y: number; font: PDFFont; size: number; color: ReturnType<typeof rgb> },
): number {
  let width = 0;
  for (const run of readingRuns(line)) {
    page.drawText(run, { ...style, x: x + width });
    width += style.font.widthOfTextAtSize(run, style.size);
  }
  return width;
}

/** Lays text and tables one below the other over as many pages as they take. */
export class PageFlow {
  readonly #document: PDFDocument;
  readonly #plain: PDFFont;
  readonly #bold: PDFFont;
  readonly #has: Faces["has"];
  readonly #widthOf: Faces["widthOf"];
  #page: PDFPage;
  /** Distance of the next line's top from the foot of the page. */
  #y = PAGE.height - MARGIN;

  private constructor(document: PDFDocument, { plain, bold, has, widthOf }: Faces) {
    this.#document = document;
    this.#plain = plain;
    this.#bold = bold;
    this.#has = has;
    this.#widthOf = widthOf;
    this.#page = document.addPage([PAGE.width, PAGE.height]);
  }

  /** @param faces already embedded there; default: they are embedded now */
  static async on(document: PDFDocument, faces?: Faces): Promise<PageFlow> {
    return new PageFlow(document, faces ?? (await embedFaces(document)));
  }

  text(text: string, { size, bold = false, after = 0 }: Style): void {
    const font = bold ? this.#bold : this.#plain;
    for (const line of this.#wrapped(text, WIDTH, font, size)) {
      this.#need(size * LEADING);
      this.#put(line, MARGIN, this.#y - size, { font, size });
      this.#y -= size * LEADING;
    }
    this.#y -= after;
  }

  /** A label with a line to write on. */
  blank(label: string): void {
    this.#need(24);
    this.#y -= 20;
    this.#put(label, MARGIN, this.#y, { font: this.#plain, size: 9 });
    const [from, y] = [MARGIN + 120, this.#y - 2];
    this.#page.drawLine({ start: { x: from, y }, end: { x: MARGIN + WIDTH, y }, thickness: 0.4, color: FAINT });
    this.#y -= 4;
  }

  /** A heading stays with at least two lines of what follows, or with as much as is asked for. */
  heading(text: string, together = 60): void {
    this.#need(together);
    this.#y -= 10;
    this.text(text, { size: 12, bold: true, after: 3 });
  }

  table({ columns, rows }: ReportTable, size = 8): void {
    const shares = columns.reduce((sum, c) => sum + c.share, 0);
    const widths = columns.map((c) => (WIDTH * c.share) / shares);
    const head = () =>
      this.#row(
        columns.map((c) => c.head),
        { widths, columns, size, font: this.#bold },
      );
    this.#need(4 * size * LEADING);
    head();
    for (const row of rows) {
      const lines = this.#linesOf(row, widths, this.#plain, size);
      if (this.#lines(lines) * size * LEADING > this.#y - MARGIN && this.#y < PAGE.height - MARGIN) {
        this.#turn();
        head();
      }
      this.#row(row, { widths, columns, size, font: this.#plain });
    }
    this.#y -= 4;
  }

  /** Number the pages, each with the text given. */
  feet(text: string): void {
    const pages = this.#document.getPages();
    pages.forEach((page, i) => {
      this.#page = page;
      const line = printable(`${text}   page ${i + 1} of ${pages.length}`, this.#has);
      this.#put(line, MARGIN, MARGIN - 20, { font: this.#plain, size: 7, faint: true });
    });
  }

  #row(
    cells: readonly string[],
    { widths, columns, size, font }: { widths: number[]; columns: ReportTable["columns"]; size: number; font: PDFFont },
  ): void {
    const lines = this.#linesOf(cells, widths, font, size);
    const height = size * LEADING;
    // A row taller than what is left goes on at the top of the next page.
    for (let from = 0, total = this.#lines(lines); from < total; ) {
      this.#need(height);
      const fit = Math.max(1, Math.floor((this.#y - MARGIN) / height));
      let x = MARGIN;
      lines.forEach((own, c) => {
        own.slice(from, from + fit).forEach((line, i) => {
          const room = (widths[c] as number) - CELL_GAP;
          const indent = columns[c]?.right ? room - this.#widthOf(line, font, size) : 0;
          this.#put(line, x + indent, this.#y - size - i * height, { font, size });
        });
        x += widths[c] as number;
      });
      this.#y -= Math.min(fit, total - from) * height;
      from += fit;
    }
    this.#y -= 2;
  }

  #linesOf(cells: readonly string[], widths: readonly number[], font: PDFFont, size: number): string[][] {
    return cells.map((cell, c) => this.#wrapped(cell, (widths[c] as number) - CELL_GAP, font, size));
  }

  #lines(cells: readonly string[][]): number {
    return Math.max(...cells.map((own) => own.length));
  }

  #wrapped(text: string, width: number, font: PDFFont, size: number): string[] {
    const drawn = printable(text, this.#has);
    return wrapText(drawn, width, (line) => this.#widthOf(line, font, size));
  }

  #put(line: string, x: number, y: number, style: { font: PDFFont; size: number; faint?: boolean }): void {
    if (line === "") return;
    drawLine(this.#page, line, { x, y, font: style.font, size: style.size, color: style.faint ? FAINT : INK });
  }

  #need(height: number): void {
    if (this.#y - height < MARGIN) this.#turn();
  }

  #turn(): void {
    this.#page = this.#document.addPage([PAGE.width, PAGE.height]);
    this.#y = PAGE.height - MARGIN;
  }
}
