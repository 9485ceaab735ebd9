/**
 * A signal that ends with the first of several, by that one's reason.
 *
 * `AbortSignal.any` holds its sources weakly: a time-out that nothing else holds can be collected before it fires, and the
 * request then waits for ever. A listener keeps its source.
 *
 * @returns the signal, and how to let the sources go once it is of no more use
 */
export function eitherSignal(...sources: readonly AbortSignal[]): { signal: AbortSignal; release: () => void } {
  const either = new AbortController();
  const releases: (() => void)[] = [];
  const release = () => {
    for (const each of releases.splice(0)) each();
  };
  for (const source of sources) {
    const end = () => {
      either.abort(source.reason);
      release();
    };
    if (source.aborted) {
      end();
      break;
    }
    source.addEventListener("abort", end, { once: true });
    releases.push(() => source.removeEventListener("abort", end));
  }
  return { signal: either.signal, release };
}
