import type { ColumnRule } from "@/lib/reads/import-mapping-view.ts";

/** A column of the contract read from a place of the file, with nothing else said yet; the server fills in what values decide. */
export const newRule = (to: string, at: number | null): ColumnRule => ({
  to,
  at,
  fixed: "",
  unit: null,
  form: null,
  zone: null,
  clockAt: null,
  words: {},
});
