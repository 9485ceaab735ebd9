import { existsSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";
import fontkit from "@pdf-lib/fontkit";
import type { PDFDocument, PDFFont } from "pdf-lib";

/** The two faces that documents are drawn in, and which letters they have. */
export interface Faces {
  plain: PDFFont;
  bold: PDFFont;
  has: (codePoint: number) => boolean;
  /** Width of a text on one line, points: the sum of its letters, without kerning. */
  widthOf: (text: string, font: PDFFont, size: number) => number;
}

const PACKAGE = "dejavu-fonts-ttf";

/** Embed the faces, each reduced to the letters that the document uses in the end. */
export async function embedFaces(document: PDFDocument): Promise<Faces> {
  document.registerFontkit(fontkit);
  const plain = await document.embedFont(face("DejaVuSansCondensed.ttf"), { subset: true });
  const bold = await document.embedFont(face("DejaVuSansCondensed-Bold.ttf"), { subset: true });
  // A letter is drawn in either face, so both must have it.
  const letters = new Set(plain.getCharacterSet());
  const bolds = new Set(bold.getCharacterSet());
  const has = (code: number) => code >= 0x20 && letters.has(code) && bolds.has(code);
  return { plain, bold, has, widthOf: letterWidths() };
}

/** Shaping a whole line is slow and a line is measured again with every word, so each letter is measured once. */
function letterWidths(): Faces["widthOf"] {
  const known = new Map<PDFFont, Map<string, number>>();
  return (text, font, size) => {
    let own = known.get(font);
    if (!own) {
      own = new Map();
      known.set(font, own);
    }
    let width = 0;
    for (const letter of text) {
      let one = own.get(letter);
      if (one === undefined) {
        one = font.widthOfTextAtSize(letter, 1);
        own.set(letter, one);
      }
      width += one;
    }
    return width * size;
  };
}

const read = new Map<string, Uint8Array>();

function face(file: string): Uint8Array {
  const known = read.get(file);
  if (known) return known;
  // Where the server has been bundled, this file lies elsewhere; then it is the folder that the server runs in.
  const beside = path.join(process.cwd(), "node_modules", PACKAGE);
  const folder = existsSync(beside)
    ? beside
    : path.dirname(createRequire(import.meta.url).resolve(`${PACKAGE}/package.json`));
  const bytes = readFileSync(path.join(folder, "ttf", file));
  read.set(file, bytes);
  return bytes;
}
