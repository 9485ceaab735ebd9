import type { Span } from "./plan-instance.ts";

/** What lies in a span of both lists. Each list in order and its spans apart; so is the result. */
export function intersectSpans(a: readonly Span[], b: readonly Span[]): Span[] {
  const out: Span[] = [];
  for (let i = 0, j = 0; i < a.length && j < b.length; ) {
    const [x, y] = [a[i] as Span, b[j] as Span];
    const [from, to] = [Math.max(x.from, y.from), Math.min(x.to, y.to)];
    if (from < to) out.push({ from, to });
    if (x.to < y.to) i++;
    else j++;
  }
  return out;
}

/** What of a span is in none of the others, which may overlap and come in any order. */
export function withoutSpans(whole: Span, taken: readonly Span[]): Span[] {
  const out: Span[] = [];
  let from = whole.from;
  for (const span of [...taken].sort((a, b) => a.from - b.from)) {
    if (span.from > from) out.push({ from, to: Math.min(span.from, whole.to) });
    from = Math.max(from, span.to);
    if (from >= whole.to) break;
  }
  if (from < whole.to) out.push({ from, to: whole.to });
  return out.filter((span) => span.to > span.from);
}
