import type { PDFDocument, PDFImage, PDFPage } from "pdf-lib";
import type { Faces } from "./embed-faces.ts";
import { drawLine, FAINT, INK, PAGE } from "./page-flow.ts";
import { printable } from "./printable.ts";
import type { SheetPhoto } from "./visit-sheet.ts";
import { wrapText } from "./wrap-text.ts";

const MARGIN = 36;
const FOOT = 42;
const GAP = 12;
const CAPTION = { size: 7, leading: 9, lines: 6 };
/** Two columns of two. */
export const PHOTOS_A_PAGE = 4;
const CELL = {
  width: (PAGE.width - 2 * MARGIN - GAP) / 2,
  height: (PAGE.height - MARGIN - FOOT - GAP) / 2,
};
const ROOM = CELL.height - CAPTION.leading * CAPTION.lines;

/** Photos with their captions, four a page, none larger than its cell and none stretched. */
export async function drawPhotoPages(document: PDFDocument, faces: Faces, photos: readonly SheetPhoto[]) {
  for (let from = 0; from < photos.length; from += PHOTOS_A_PAGE) {
    const page = document.addPage([PAGE.width, PAGE.height]);
    for (const [i, photo] of photos.slice(from, from + PHOTOS_A_PAGE).entries()) {
      const x = MARGIN + (i % 2) * (CELL.width + GAP);
      const top = PAGE.height - MARGIN - Math.floor(i / 2) * (CELL.height + GAP);
      if (photo.jpeg) placeImage(page, await document.embedJpg(photo.jpeg), { x, top });
      else
        page.drawRectangle({ x, y: top - ROOM, width: CELL.width, height: ROOM, borderWidth: 0.5, borderColor: FAINT });
      caption(page, faces, photo, { x, y: top - ROOM });
    }
  }
}

function placeImage(page: PDFPage, image: PDFImage, { x, top }: { x: number; top: number }): void {
  const scale = Math.min(CELL.width / image.width, ROOM / image.height);
  const [width, height] = [image.width * scale, image.height * scale];
  page.drawImage(image, { x, y: top - height, width, height });
}

function caption(page: PDFPage, faces: Faces, { number, caption: says }: SheetPhoto, at: { x: number; y: number }) {
  const text = printable(`Photo ${number}. ${says}`, faces.has);
  const lines = wrapText(text, CELL.width, (line) => faces.widthOf(line, faces.plain, CAPTION.size));
  // A caption too long for its room is cut where anyone sees it.
  const shown = lines.length > CAPTION.lines ? [...lines.slice(0, CAPTION.lines - 1), "… cut off here"] : lines;
  shown.forEach((line, i) => {
    const y = at.y - CAPTION.leading * (i + 1);
    if (line !== "") drawLine(page, line, { x: at.x, y, font: faces.plain, size: CAPTION.size, color: INK });
  });
}
