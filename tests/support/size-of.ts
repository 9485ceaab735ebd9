/** The size of a sizing result, or why there is none. */
export const sizeOf = (found: { kind: string }): string =>
  found.kind === "size" ? (found as { size: string } & typeof found).size : found.kind;
