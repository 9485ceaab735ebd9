/** One thing of a site's path that can be changed by hand, with what is recorded of it. */
export interface EditablePart {
  what: "site" | "inverter" | "section" | "piece" | "bond";
  id: string;
  label: string;
  /** By column, as text; null: not recorded. */
  fields: Record<string, string | null>;
}

/** A change that somebody made, with the values before and after it. */
export interface PathChangeLine {
  seq: number;
  /** ISO time. */
  at: string;
  person: string;
  what: EditablePart["what"];
  id: string;
  /** Null: it was added by this change. */
  before: Record<string, string | null> | null;
  /** Null: it was taken away by this change. */
  after: Record<string, string | null> | null;
  reason: string;
  /** Number of the change that this one set back. */
  undoes: number | null;
  /** A later change has set this one back. */
  setBack: boolean;
}

export interface PathEditView {
  siteId: string;
  parts: EditablePart[];
  /** What a bond can end at. */
  points: { id: string; label: string }[];
  /** Links that a piece can stand in. */
  links: { id: string; label: string }[];
  /** Newest first. */
  history: PathChangeLine[];
}
