import type { PathLink, PathNode } from "./path-graph.ts";

/** The pieces and links of a site, before anything is known of them. */
export interface PathDraft {
  nodes: PathNode[];
  links: PathLink[];
  /** Links that were split because further pieces stand in them, whole. */
  runs: PathLink[];
  gaps: { what: string; says: string }[];
  problems: string[];
}

/** A piece of metal. */
export const node = (
  id: string,
  kind: PathNode["kind"],
  label: string,
  sectionId: string | null = null,
  inverterId: string | null = null,
): PathNode => ({
  id,
  kind,
  label,
  sectionId,
  inverterId,
});

/** A link that should be there; not recorded unless said. */
export const link = (kind: PathLink["kind"], from: string, to: string, rest: Partial<PathLink>): PathLink => ({
  id: `${kind} ${from} ${to}`,
  kind,
  from,
  to,
  sectionId: null,
  inverterId: null,
  recorded: false,
  absent: false,
  ...rest,
});
