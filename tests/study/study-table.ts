/** Columns padded to their widest cell; the first is text, the others are numbers. */
export function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const widths = head.map((h, k) => Math.max(h.length, ...rows.map((r) => (r[k] ?? "").length)));
  const line = (cells: readonly string[]) =>
    cells.map((c, k) => (k === 0 ? c.padEnd(widths[k] ?? 0) : c.padStart(widths[k] ?? 0))).join("  ");
  return [line(head), widths.map((w) => "-".repeat(w)).join("  "), ...rows.map(line)].join("\n");
}

/**
 * Share of hits with its standard error when hits of one cluster go together: the sites under one sky share its
 * weather, so they are not independent draws.
 */
export function shareByCluster(draws: readonly { cluster: number; hit: boolean }[]): { share: number; error: number } {
  const share = draws.filter((d) => d.hit).length / draws.length;
  const sums = new Map<number, number>();
  for (const d of draws) sums.set(d.cluster, (sums.get(d.cluster) ?? 0) + (d.hit ? 1 : 0) - share);
  const squares = [...sums.values()].reduce((a, b) => a + b * b, 0);
  const correction = sums.size > 1 ? sums.size / (sums.size - 1) : 1;
  return { share, error: Math.sqrt(correction * squares) / draws.length };
}
