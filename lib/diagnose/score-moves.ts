/** Evidence of a score as it is kept. */
export interface KeptEvidence {
  source: string;
  decibans: number;
  says: string;
}

/** What one source moved between two scores, decibans; `says` is the newer sentence, or what is gone. */
export interface EvidenceMove {
  source: string;
  decibans: number;
  says: string;
}

/** A change smaller than this is not worth a line, decibans. */
const LEAST = 0.05;

/**
 * What moved the odds from one score to the next: the difference of each source's decibans, the greatest first. All
 * differences, shown or not, sum to the difference of the log-odds, because the decibans of each score sum to its own.
 *
 * @param most how many are named
 * @returns the moves, and the decibans of all others together
 */
export function scoreMoves(
  before: readonly KeptEvidence[],
  after: readonly KeptEvidence[],
  most: number,
): { moves: EvidenceMove[]; rest: number } {
  const sums = new Map<string, EvidenceMove>();
  const add = ({ source, decibans, says }: KeptEvidence, sign: 1 | -1) => {
    const had = sums.get(source);
    sums.set(source, {
      source,
      decibans: (had?.decibans ?? 0) + sign * decibans,
      says: sign > 0 ? says : (had?.says ?? `No longer: ${says}`),
    });
  };
  for (const item of after) add(item, 1);
  for (const item of before) add(item, -1);
  const all = [...sums.values()]
    .filter((move) => Math.abs(move.decibans) >= LEAST)
    .sort((a, b) => Math.abs(b.decibans) - Math.abs(a.decibans) || (a.source < b.source ? -1 : 1));
  const total = [...sums.values()].reduce((sum, move) => sum + move.decibans, 0);
  const moves = all.slice(0, most);
  return { moves, rest: total - moves.reduce((sum, move) => sum + move.decibans, 0) };
}
