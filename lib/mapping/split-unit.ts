/** A value parted into its number and what follows it: `12.3 kΩ`, `98%`, `5`. */
export function splitUnit(cell: string): { number: string; unit: string } {
  const m = /^([<>~≈]?\s*[+-]?[\d.,'’\s\u00a0\u202f]*\d(?:[.,]|[eE][+-]?\d+)?)\s*([^\d\s].*)?$/u.exec(cell.trim());
  return m ? { number: (m[1] ?? "").trim(), unit: (m[2] ?? "").trim() } : { number: cell.trim(), unit: "" };
}
