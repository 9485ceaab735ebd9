/** `ok` works; `FAIL` must be mended; `note` is worth knowing and stops nothing. */
export type Finding = { what: string; state: "ok" | "note" | "FAIL"; says: string };
