const SUBSTITUTES: Record<string, string> = {
  "≥": ">=",
  "≤": "<=",
  "≈": "about ",
  Ω: "ohm",
  "−": "-",
  "→": "->",
  "′": "'",
  "″": '"',
  "\t": " ",
};

/**
 * A text in the letters that a font has: common signs by their usual stand-in, accented letters without the accent where
 * only that is missing, anything else as its code point in brackets, so that nothing is left out unseen.
 * @param has whether the font has a code point
 */
export function printable(text: string, has: (codePoint: number) => boolean): string {
  let out = "";
  for (const letter of text.normalize("NFC").replace(/\r\n?|[\u2028\u2029]/g, "\n")) {
    const code = letter.codePointAt(0) as number;
    const bare = letter.normalize("NFD").replace(/\p{M}/gu, "");
    if (letter === "\n" || has(code)) out += letter;
    else if (SUBSTITUTES[letter] !== undefined) out += SUBSTITUTES[letter];
    else if (bare !== "" && [...bare].every((c) => has(c.codePointAt(0) as number))) out += bare;
    else out += `[U+${code.toString(16).toUpperCase().padStart(4, "0")}]`;
  }
  return out;
}
