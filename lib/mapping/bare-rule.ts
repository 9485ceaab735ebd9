import type { ColumnRule } from "./mapping.ts";

/** A rule with nothing said yet. */
export const bareRule = (to: string, at: number | null): ColumnRule => ({
  to,
  at,
  fixed: "",
  unit: null,
  form: null,
  zone: null,
  clockAt: null,
  hour: null,
  words: {},
});
