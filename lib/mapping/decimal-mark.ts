/** Which sign stands before the fraction of a number. */
export type DecimalMark = "point" | "comma";

const BARE = /^[+-]?[\d.,]*\d[\d.,]*$/;

/** A number without the signs that only set its digits in groups: spaces of any width, apostrophes. */
const closed = (text: string): string => text.trim().replace(/[\s\u00a0\u2009\u202f'’]+(?=\d{3})/g, "");

/**
 * What one number says about its decimal mark: `either` when its only sign may also set thousands apart (`1,234`), null
 * when it has none or is no number.
 */
export function markOf(text: string): DecimalMark | "either" | null {
  const bare = closed(text);
  if (!BARE.test(bare)) return null;
  const dots = bare.split(".").length - 1;
  const commas = bare.split(",").length - 1;
  if (dots + commas === 0) return null;
  if (dots > 0 && commas > 0) return bare.lastIndexOf(".") > bare.lastIndexOf(",") ? "point" : "comma";
  const one = dots + commas === 1;
  const [whole = "", part = ""] = bare.replace(/^[+-]/, "").split(dots > 0 ? "." : ",");
  const sign: DecimalMark = dots > 0 ? "point" : "comma";
  if (!one) return sign === "point" ? "comma" : "point";
  return part.length !== 3 || whole === "" || whole === "0" || whole.length > 3 ? sign : "either";
}

export interface DecimalFinding {
  /** null: the file does not decide, or contradicts itself. */
  mark: DecimalMark | null;
  because: string;
}

/**
 * The decimal mark of a file's numbers. What several numbers leave open is asked, never guessed; a point that could set
 * thousands apart is taken as a decimal point only where commas part the cells, as in the contract's own files.
 * @param cells numbers of the file as written
 * @param delimiter what parts its cells
 */
export function decimalMark(cells: readonly string[], delimiter: string): DecimalFinding {
  const seen: Record<"point" | "comma", string | null> = { point: null, comma: null };
  let either: string | null = null;
  let eitherComma = false;
  for (const cell of cells) {
    const mark = markOf(cell);
    if (mark === "either") {
      either ??= cell.trim();
      eitherComma ||= cell.includes(",");
    } else if (mark) seen[mark] ??= cell.trim();
  }
  if (seen.point && seen.comma)
    return { mark: null, because: `${seen.point} and ${seen.comma} do not have the same decimal mark` };
  if (seen.point) return { mark: "point", because: `${seen.point} has a decimal point` };
  if (seen.comma) return { mark: "comma", because: `${seen.comma} has a decimal comma` };
  if (either === null) return { mark: "point", because: "no number has a fraction" };
  if (!eitherComma && delimiter === ",")
    return { mark: "point", because: `commas part the cells, so ${either} has a point` };
  return { mark: null, because: `${either} may be a fraction or thousands` };
}

/** A number as the contract writes it; null when the text is none with this mark. */
export function plainNumber(text: string, mark: DecimalMark): string | null {
  let bare = closed(text);
  if (mark === "comma") bare = bare.replaceAll(".", "\u0000").replaceAll(",", ".").replaceAll("\u0000", ",");
  if (bare.includes(",")) {
    if (!/^[+-]?\d{1,3}(,\d{3})+(\.\d*)?$/.test(bare)) return null;
    bare = bare.replaceAll(",", "");
  }
  return /^[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?$/.test(bare) ? bare : null;
}
