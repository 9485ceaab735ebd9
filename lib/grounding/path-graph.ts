import type { BondMade, Inspection, Instant } from "../core/records.ts";

export type PathNodeKind =
  | "section"
  | "inverter"
  | "ground_bus"
  | "electrode"
  | "array_electrode"
  | "battery_electrode"
  | "battery"
  | "other_metal"
  // Recorded by hand, but for combiners, which the sections name.
  | "combiner"
  | "ac_disconnect"
  | "load_centre"
  | "ground_bar"
  | "metal_conduit"
  | "flashing"
  | "racking"
  | "further_electrode"
  | "other_piece";

/**
 * A piece of metal. Ids are the contract's points (`section:A`, `ground_bus`), `piece:ID` for what was recorded by hand or
 * is a combiner, and our own for the rest.
 */
export interface PathNode {
  id: string;
  kind: PathNodeKind;
  label: string;
  sectionId: string | null;
  inverterId: string | null;
}

export type PathLinkKind =
  | "section_bond"
  | "section_egc"
  | "inverter_egc"
  | "gec"
  | "array_electrode_bond"
  | "battery_bond"
  | "battery_gec"
  | "other_metal_bond"
  | "piece_bond"
  | "further_bond";

/** A bond or conductor that should join two pieces. */
export interface PathLink {
  id: string;
  kind: PathLinkKind;
  from: string;
  to: string;
  sectionId: string | null;
  inverterId: string | null;
  /** Whether the site's records name it; false: it is only what there should be. */
  recorded: boolean;
  /** The records say that it is not there. */
  absent: boolean;
  /** How it is made, where that was recorded for this very link. */
  made?: BondMade;
  /** Id of the whole run that it is a part of, where further pieces stand in that. */
  run?: string;
}

/** What is known of a link. */
export interface LinkStatus {
  status: "verified" | "unverified" | "failed" | "missing";
  /** How a verified link was verified. */
  by: "measurement" | "sight" | null;
  /** When the record that decides was made; null where no record does. */
  decidedAt: Instant | null;
  /** The inspection that decides; null where none does, or a repair has opened the question again. */
  record: Inspection | null;
  /**
   * The latest accepted resistance reading of this very link, ohm; null without one, and once any later record fails
   * the link or casts doubt on it.
   */
  measuredOhm: number | null;
  /** False where the record that fails the link names no place and may mean another one. */
  certain: boolean;
  says: string;
}

/** A link with what is known of it. */
export interface PathEdge extends PathLink, LinkStatus {}
