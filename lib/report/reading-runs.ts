/** Letters of scripts that are written from right to left. */
const LEFTWARD = String.raw`\u0590-\u08FF\uFB1D-\uFDFF\uFE70-\uFEFF`;
const RUN = new RegExp(`[${LEFTWARD}]+(?:[ ]+[${LEFTWARD}]+)*`, "gu");

/**
 * A line in pieces that are each written in one direction. Drawn one after the other they keep the order of a line that
 * runs left to right; a font's own shaping turns only what is written from right to left.
 * @returns pieces that together are the line; one piece for a line without such letters
 */
export function readingRuns(line: string): string[] {
  const runs: string[] = [];
  let at = 0;
  for (const match of line.matchAll(RUN)) {
    if (match.index > at) runs.push(line.slice(at, match.index));
    runs.push(match[0]);
    at = match.index + match[0].length;
  }
  if (at < line.length || runs.length === 0) runs.push(line.slice(at));
  return runs;
}
