import type { PathPiece, SiteRecords } from "../core/records.ts";
import { link, node, type PathDraft } from "./path-draft.ts";
import type { PathLink, PathNode, PathNodeKind } from "./path-graph.ts";

/** What a kind of piece is called, and its kind on the path. */
export const PIECE_KINDS: Record<PathPiece["kind"], { says: string; node: PathNodeKind }> = {
  combiner: { says: "Combiner", node: "combiner" },
  ac_disconnect: { says: "AC disconnect", node: "ac_disconnect" },
  load_centre: { says: "Load centre", node: "load_centre" },
  ground_bar: { says: "Ground bar", node: "ground_bar" },
  metal_conduit: { says: "Metal conduit", node: "metal_conduit" },
  flashing: { says: "Flashing", node: "flashing" },
  racking: { says: "Racking", node: "racking" },
  electrode: { says: "Further electrode", node: "further_electrode" },
  other: { says: "Other metal", node: "other_piece" },
};

/** Kinds that stand on the way of every system, so that their absence from the records is worth a word. */
const EXPECTED = ["ac_disconnect", "load_centre", "ground_bar", "metal_conduit", "flashing"] as const;

export const pieceLabel = ({ kind, pieceId, name }: Pick<PathPiece, "kind" | "pieceId" | "name">): string =>
  name ?? `${PIECE_KINDS[kind].says} ${pieceId}`;

/**
 * Pieces and bonds that were recorded by hand, and the combiners that sections name. A piece that stands in a link splits
 * it; what names something that is not there is a problem and is not drawn.
 */
export function addPathPieces(draft: PathDraft, records: SiteRecords): void {
  const pieces = [...(records.pathPieces ?? []), ...namedCombiners(records)];
  for (const each of pieces) if (each.standsIn === null) draft.nodes.push(nodeOf(each));
  for (const [id, standing] of groupByLink(pieces)) splitLink(draft, id, standing);
  for (const each of pieces) if (each.standsIn === null) bondPiece(draft, each);
  for (const bond of records.pathBonds ?? []) {
    const known = [bond.from, bond.to].find((id) => !draft.nodes.some((each) => each.id === id));
    if (known !== undefined) draft.problems.push(`Bond ${bond.bondId} names ${known}, which is not at this site.`);
    else if (bond.from === bond.to) draft.problems.push(`Bond ${bond.bondId} joins ${bond.from} to itself.`);
    else draft.links.push(furtherBond(draft, bond));
  }
  const missing = EXPECTED.filter((kind) => !pieces.some((each) => each.kind === kind));
  if (missing.length > 0 && records.inverters.length > 0)
    draft.gaps.push({
      what: "path_pieces",
      says: `Not recorded: ${missing.map((kind) => PIECE_KINDS[kind].says).join(", ")}. What of these is there belongs on the path.`,
    });
}

const nodeOf = (piece: PathPiece): PathNode =>
  node(`piece:${piece.pieceId}`, PIECE_KINDS[piece.kind].node, pieceLabel(piece), piece.sectionId, piece.inverterId);

/** A combiner that sections name is there whether or not anybody recorded how it is bonded. */
function namedCombiners({ site, sections, pathPieces }: SiteRecords): PathPiece[] {
  const known = new Set((pathPieces ?? []).map((each) => each.pieceId));
  const named = new Map<string, PathPiece>();
  for (const { combinerId, sectionId, inverterId } of sections) {
    if (combinerId === null || known.has(combinerId) || named.has(combinerId)) continue;
    named.set(combinerId, {
      ...{ siteId: site.siteId, pieceId: combinerId, kind: "combiner", name: null, sectionId, inverterId },
      ...{ standsIn: null, place: 0, bondedTo: null },
      ...{ method: null, awg: null, material: null, listed: null },
    });
  }
  return [...named.values()];
}

function groupByLink(pieces: readonly PathPiece[]): Map<string, PathPiece[]> {
  const groups = new Map<string, PathPiece[]>();
  for (const piece of pieces) {
    if (piece.standsIn === null) continue;
    const group = groups.get(piece.standsIn);
    if (group) group.push(piece);
    else groups.set(piece.standsIn, [piece]);
  }
  return groups;
}

/** A link in as many parts as the pieces that stand in it make of it; each piece says how the part after it is made. */
function splitLink(draft: PathDraft, id: string, standing: PathPiece[]): void {
  const at = draft.links.findIndex((each) => each.id === id);
  const whole = draft.links[at];
  if (!whole) {
    for (const piece of standing)
      draft.problems.push(
        `${pieceLabel(piece)} is recorded in a link that is not there any more (${id}). Say anew where it stands.`,
      );
    return;
  }
  standing.sort((a, b) => a.place - b.place || (a.pieceId < b.pieceId ? -1 : 1));
  const stops = [whole.from, ...standing.map((piece) => `piece:${piece.pieceId}`), whole.to];
  for (const piece of standing)
    draft.nodes.push({ ...nodeOf(piece), inverterId: piece.inverterId ?? whole.inverterId });
  const parts = stops.slice(1).map((to, i): PathLink => {
    const from = stops[i] as string;
    const piece = standing[i - 1];
    const made = piece && madeOf(piece);
    return { ...whole, id: `${whole.kind} ${from} ${to}`, from, to, run: whole.id, ...(made ? { made } : {}) };
  });
  draft.links.splice(at, 1, ...parts);
  draft.runs.push(whole);
}

function madeOf({ method, awg, material, listed }: PathPiece) {
  return (method ?? awg ?? material ?? listed) ? { method, awg, material, listed } : undefined;
}

function bondPiece(draft: PathDraft, piece: PathPiece): void {
  const from = `piece:${piece.pieceId}`;
  const { sectionId, inverterId, method, awg, material, listed } = piece;
  const known = draft.nodes.some((each) => each.id === piece.bondedTo && each.id !== from);
  if (piece.bondedTo !== null && !known)
    draft.problems.push(
      piece.bondedTo === from
        ? `${pieceLabel(piece)} is recorded as bonded to itself.`
        : `${pieceLabel(piece)} is recorded as bonded to ${piece.bondedTo}, which is not at this site.`,
    );
  // What it is bonded to is not recorded: the metal beside it is what it should be bonded to.
  const beside = [`section:${sectionId}`, `inverter:${inverterId}`];
  if (piece.kind === "combiner") beside.reverse();
  const fallback = beside.find((id) => draft.nodes.some((each) => each.id === id)) ?? "ground_bus";
  const to = known ? (piece.bondedTo as string) : fallback;
  const made = { method, awg, material, listed };
  draft.links.push(
    link("piece_bond", from, to, { sectionId, inverterId, recorded: known, absent: method === "none", made }),
  );
}

function furtherBond(
  draft: PathDraft,
  { bondId, from, to, method, awg, material, listed }: NonNullable<SiteRecords["pathBonds"]>[number],
): PathLink {
  const ends = [from, to].map((id) => draft.nodes.find((each) => each.id === id) as PathNode);
  const [sectionId = null] = ends.flatMap((end) => end.sectionId ?? []);
  const [inverterId = null] = ends.flatMap((end) => end.inverterId ?? []);
  const made = { method, awg, material, listed };
  return {
    ...link("further_bond", from, to, { sectionId, inverterId, recorded: true, absent: method === "none", made }),
    // Two bonds may join the same two pieces, so the pair alone names neither.
    id: `further_bond ${bondId}`,
  };
}
