import type { BondMade, Instant, NecEdition, SiteRecords } from "../core/records.ts";
import { type BondingPath, bondingPath } from "./bonding-path.ts";
import {
  arrayConnections,
  type ConductorLine,
  conductorLines,
  electrodeNotices,
  type InstallationLook,
  installationLooks,
  sizeText,
} from "./conductor-lines.ts";
import { type IsolatedPiece, isolatedPieces } from "./isolated-pieces.ts";
import type { PathEdge, PathLinkKind, PathNodeKind } from "./path-graph.ts";
import { type PathLayout, pathLayout } from "./path-layout.ts";
import { type ProposedJumper, proposeJumpers } from "./propose-jumpers.ts";
import { frameTouchVoltage, linkTouchVoltage, resistancesToGround } from "./touch-voltage.ts";

/** One link in words. */
export interface LinkLine {
  id: string;
  /** Short, for a drawing. */
  short: string;
  name: string;
  from: string;
  to: string;
  /** Size and material, or that they are not recorded. */
  size: string;
  /** How the link is made, as recorded. */
  made: string;
  status: PathEdge["status"];
  /** How and when it was last decided, in a sentence. */
  says: string;
  /** Day of the inspection that decides, site-local; null without one. */
  day: string | null;
  inspector: string | null;
  licence: string | null;
  /** Voltage along it that a DC fault would set up, in a few words. */
  touch: string;
}

/** Everything there is to say about a site's way to ground, in words and with where to draw it. */
export interface PathReport {
  edition: NecEdition | null;
  nodes: { id: string; label: string; kind: PathNodeKind }[];
  layout: PathLayout;
  links: LinkLine[];
  isolated: IsolatedPiece[];
  /** Labels of pieces that reach the service ground only if something unverified holds. */
  unproven: string[];
  /** Links that something other than the metal beside a section hangs on alone, those that carry most first. */
  singlePoints: { linkId: string; name: string; loses: string[] }[];
  /** How many further links carry only the metal beside a section. */
  singleMetal: number;
  jumpers: ProposedJumper[];
  conductors: ConductorLine[];
  /** What each array's connection to ground is by the edition. */
  connections: string[];
  /** What to look for along them besides the size: no record tells it. Empty without a loaded edition. */
  looks: InstallationLook[];
  /** Voltage of each frame and enclosure to the service ground bus that a DC fault would set up. */
  frames: { label: string; resistance: string; says: string }[];
  /** What is wrong as recorded, besides links and sizes. */
  notices: string[];
  gaps: string[];
  problems: string[];
}

/** What a kind of link is called. */
export const LINK_NAMES: Record<PathLinkKind, { short: string; name: string }> = {
  section_bond: { short: "Bond", name: "Bond" },
  section_egc: { short: "EGC", name: "Equipment grounding conductor" },
  inverter_egc: { short: "EGC", name: "Equipment grounding conductor" },
  gec: { short: "GEC", name: "Grounding electrode conductor" },
  array_electrode_bond: { short: "Bond", name: "Bond of the array's electrode" },
  battery_bond: { short: "Bond", name: "Bond of the battery" },
  battery_gec: { short: "GEC", name: "Grounding electrode conductor of the battery" },
  other_metal_bond: { short: "Bond", name: "Bond of racking, conduit and flashing" },
  piece_bond: { short: "Bond", name: "Bond" },
  further_bond: { short: "Bond", name: "Further bond" },
};

const WORST_FIRST: readonly LinkLine["status"][] = ["failed", "missing", "unverified", "verified"];

/** The path of a site as of an instant, read out. Pure; records after `asOf` are not used. */
export function pathReport(records: SiteRecords, asOf: Instant): PathReport {
  const path = bondingPath(records, asOf);
  const labels = new Map(path.nodes.map((node) => [node.id, node.label]));
  const label = (id: string) => labels.get(id) ?? id;
  const links = path.edges
    .map((edge) => linkLine(records, edge, label))
    .sort((a, b) => WORST_FIRST.indexOf(a.status) - WORST_FIRST.indexOf(b.status));
  const ohms = resistancesToGround(path.edges, path.runs);
  const told = singlePointLines(path, links, label);
  return {
    edition: records.site.necEdition,
    nodes: path.nodes.map(({ id, label, kind }) => ({ id, label, kind })),
    layout: pathLayout(path.nodes, path.edges),
    links,
    isolated: isolatedPieces(path),
    unproven: path.unproven.map(label),
    singlePoints: told,
    singleMetal: path.singlePoints.length - told.length,
    jumpers: proposeJumpers(records, path),
    conductors: conductorLines(records, asOf),
    connections: arrayConnections(records),
    notices: electrodeNotices(records),
    looks: installationLooks(records, asOf),
    frames: path.nodes
      .filter((node) => node.kind === "section" || node.kind === "inverter")
      .map((node) => ({
        label: node.label,
        resistance: resistanceText(ohms.get(node.id) ?? null),
        says: frameTouchVoltage(records, node, ohms.get(node.id) ?? null).says,
      })),
    gaps: path.gaps.map((gap) => gap.says),
    problems: path.problems,
  };
}

const resistanceText = (ohms: number | null) =>
  ohms === null
    ? "Resistance to the service ground not known."
    : `At most ${Number(ohms.toPrecision(2))} ohm to the service ground over the measured links.`;

function linkLine(records: SiteRecords, edge: PathEdge, label: (id: string) => string): LinkLine {
  return {
    id: edge.id,
    ...LINK_NAMES[edge.kind],
    from: label(edge.from),
    to: label(edge.to),
    ...madeOf(records, edge),
    status: edge.status,
    says: edge.says,
    day: edge.record?.inspectedAt.day ?? null,
    inspector: edge.record?.inspector ?? null,
    licence: edge.record?.inspectorLicence ?? null,
    touch: linkTouchVoltage(records, edge).short,
  };
}

function madeOf({ site, sections, inverters }: SiteRecords, edge: PathEdge): Pick<LinkLine, "size" | "made"> {
  if (edge.made) return ownMade(edge.made);
  const section = sections.find((each) => each.sectionId === edge.sectionId);
  const inverter = inverters.find((each) => each.inverterId === edge.inverterId);
  const conductor = (awg: string | null, material: string | null) => ({
    size: awg === null ? "not recorded" : `${sizeText(awg)} ${material ?? "of unknown material"}`,
    made: "conductor",
  });
  if (edge.kind === "gec") return conductor(site.gecAwg, site.gecMaterial);
  if (edge.kind === "inverter_egc") return conductor(inverter?.egcAwg ?? null, inverter?.egcMaterial ?? null);
  if (edge.kind === "section_egc") return conductor(section?.egcAwg ?? null, section?.egcMaterial ?? null);
  const method = section && edge.kind === "section_bond" ? section.bondMethod : null;
  const listed = section && edge.kind === "section_bond" ? section.hardwareListed : null;
  const hardware = listed === "yes" ? ", listed" : listed === "no" ? ", not listed" : "";
  return {
    size: "not recorded",
    made: method === null || method === "unknown" ? "not recorded" : `${method.replaceAll("_", " ")}${hardware}`,
  };
}

/** As recorded for this very link. */
function ownMade({ method, awg, material, listed }: BondMade): Pick<LinkLine, "size" | "made"> {
  const hardware = listed === "yes" ? ", listed" : listed === "no" ? ", not listed" : "";
  const how = method === null || method === "unknown" ? "not recorded" : method.replaceAll("_", " ");
  return {
    size: awg === null ? "not recorded" : `${sizeText(awg)} ${material ?? "of unknown material"}`,
    made: `${how}${hardware}`,
  };
}

function singlePointLines(path: BondingPath, links: LinkLine[], label: (id: string) => string) {
  const kinds = new Map(path.nodes.map((node) => [node.id, node.kind]));
  const byId = new Map(links.map((link) => [link.id, link]));
  return path.singlePoints
    .map(({ linkId, loses }) => {
      const { name, from, to } = byId.get(linkId) as LinkLine;
      const told = loses.filter((id) => kinds.get(id) !== "other_metal").map(label);
      return { linkId, name: `${name}, ${from} to ${to}`, loses: told };
    })
    .filter((each) => each.loses.length > 0)
    .sort((a, b) => b.loses.length - a.loses.length);
}
