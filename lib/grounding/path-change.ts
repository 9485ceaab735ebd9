import type { PathBond, PathPiece, SiteRecords } from "../core/records.ts";
import { sitePathLinks } from "./path-links.ts";

/** A bond of a section that nobody could mean: to itself, out of the site, or round in a circle. Null: it can be meant. */
export function sectionBondProblem(records: SiteRecords, sectionId: string, bondedTo: string | null): string | null {
  if (bondedTo === null || bondedTo === "bus") return null;
  if (bondedTo === sectionId)
    return `Section ${sectionId} cannot be bonded to itself. Name another section of this site, or bus for the service ground.`;
  const target = new Map(records.sections.map((section) => [section.sectionId, section.bondedTo]));
  if (!target.has(bondedTo))
    return `${bondedTo} is no section of site ${records.site.siteId}. A bond ends at a section of the same site, or at bus.`;
  const way = [sectionId, bondedTo];
  for (let next = target.get(bondedTo); next && next !== "bus" && target.has(next); next = target.get(next)) {
    if (next === sectionId)
      return `That makes a loop: ${[...way, sectionId].join(" to ")}. Each section names where it goes on from there, and one of them has to name bus; record a jumper that closes a ring as a further bond.`;
    if (way.includes(next)) break;
    way.push(next);
  }
  return null;
}

/** Why a piece cannot be recorded as given; null: it can. */
export function pieceProblem(records: SiteRecords, piece: PathPiece): string | null {
  const id = `piece:${piece.pieceId}`;
  const others = (records.pathPieces ?? []).filter((each) => each.pieceId !== piece.pieceId);
  const { nodes, links, runs } = sitePathLinks({ ...records, pathPieces: others, pathBonds: [] });
  if (piece.standsIn !== null && piece.bondedTo !== null)
    return "A piece either stands in a link or is bonded to something beside it: give one of the two.";
  if (piece.sectionId !== null && !records.sections.some((each) => each.sectionId === piece.sectionId))
    return `${piece.sectionId} is no section of this site.`;
  if (piece.inverterId !== null && !records.inverters.some((each) => each.inverterId === piece.inverterId))
    return `${piece.inverterId} is no inverter of this site.`;
  if (piece.standsIn !== null && ![...links, ...runs].some((each) => each.id === piece.standsIn && !each.run))
    return `There is no link "${piece.standsIn}" at this site for it to stand in.`;
  if (piece.bondedTo === null) return null;
  if (piece.bondedTo === id) return "A piece cannot be bonded to itself. Name what it is bonded to.";
  if (!nodes.some((each) => each.id === piece.bondedTo && each.id !== id))
    return `${piece.bondedTo} is not on the path of this site. A bond ends at a piece of the same site.`;
  const next = new Map(others.map((each) => [`piece:${each.pieceId}`, each.bondedTo]));
  const way = [id];
  for (let at: string | null | undefined = piece.bondedTo; at; at = next.get(at)) {
    if (at === id)
      return `That makes a loop: ${[...way, id].join(" to ")}. One of them has to be bonded to something else.`;
    if (way.includes(at)) break;
    way.push(at);
  }
  return null;
}

/** Why a further bond cannot be recorded as given; null: it can. */
export function bondProblem(records: SiteRecords, { from, to }: PathBond): string | null {
  if (from === to) return "A bond cannot join a piece to itself. Name its two ends.";
  const { nodes } = sitePathLinks({ ...records, pathBonds: [] });
  const stray = [from, to].find((id) => !nodes.some((each) => each.id === id));
  return stray === undefined
    ? null
    : `${stray} is not on the path of this site. A bond joins two pieces of the same site.`;
}

/** What still names a piece, so that it cannot be taken away; null: nothing does. */
export function pieceInUse({ pathPieces, pathBonds }: SiteRecords, pieceId: string): string | null {
  const id = `piece:${pieceId}`;
  const piece = (pathPieces ?? []).find((each) => each.bondedTo === id);
  const bond = (pathBonds ?? []).find((each) => each.from === id || each.to === id);
  const user = piece ? `Piece ${piece.pieceId}` : bond ? `Bond ${bond.bondId}` : null;
  return user === null ? null : `${user} ends at it. Change or remove that first.`;
}
