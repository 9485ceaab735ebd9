import { distance } from "fastest-levenshtein";

/** The same name whichever way it is written: `as_of`, `asOf` and `--as-of` are one. */
const plain = (name: string) => name.toLowerCase().replace(/[^a-z0-9]/g, "");

/**
 * The known name that a mistyped one stands nearest to by edits, however it is written, or null where none is near: more than a
 * third of it, but at least one letter, would have to change.
 */
export function nearestName(given: string, known: readonly string[]): string | null {
  const asked = plain(given.slice(0, 100));
  let best: string | null = null;
  let least = Math.max(1, Math.floor(asked.length / 3)) + 1;
  for (const name of known) {
    const edits = distance(asked, plain(name));
    if (asked !== "" && edits < least) {
      least = edits;
      best = name;
    }
  }
  return best;
}

/** ` Did you mean "as-of"?`, or nothing where no known name is near. */
export function didYouMean(given: string, known: readonly string[], before = ""): string {
  const near = nearestName(given, known);
  return near === null ? "" : ` Did you mean "${before}${near}"?`;
}
