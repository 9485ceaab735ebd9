/**
 * Lines of a text that are no wider than allowed: broken between words, inside a word only where it alone is too wide.
 * @param widthOf width of a text on one line, in the unit of `most`
 * @returns at least one line; every visible letter of the text is in exactly one of them
 */
export function wrapText(text: string, most: number, widthOf: (text: string) => number): string[] {
  const lines: string[] = [];
  for (const paragraph of text.split("\n")) {
    let line = "";
    for (const word of paragraph.split(/ +/)) {
      const joined = line === "" ? word : `${line} ${word}`;
      if (widthOf(joined) <= most) {
        line = joined;
        continue;
      }
      if (line !== "") lines.push(line);
      line = lastPiece(word, most, widthOf, lines);
    }
    lines.push(line);
  }
  return lines;
}

/** Put full lines of a word that is too wide into `lines`. @returns what is left of it */
function lastPiece(word: string, most: number, widthOf: (text: string) => number, lines: string[]): string {
  let piece = "";
  for (const letter of word) {
    if (piece !== "" && widthOf(piece + letter) > most) {
      lines.push(piece);
      piece = "";
    }
    piece += letter;
  }
  return piece;
}
