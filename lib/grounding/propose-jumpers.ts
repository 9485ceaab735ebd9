import type { SiteRecords } from "../core/records.ts";
import type { BondingPath } from "./bonding-path.ts";
import { type CautionId, cautionText } from "./cautions.ts";
import { sayConductorSize } from "./conductor-size.ts";
import { requiredConductor } from "./judge-conductor.ts";
import type { PathEdge, PathLinkKind } from "./path-graph.ts";
import { reachableFrom } from "./path-pieces.ts";
import { gecCase, inverterEgcCase, sectionEgcCase } from "./site-conductors.ts";

/** A jumper to propose to a qualified person. */
export interface ProposedJumper {
  from: string;
  to: string;
  /** The failed or missing link that it stands beside; null where the records name none to the rest. */
  linkId: string | null;
  /** reconnects: without it metal is cut off from the service ground; restores: another way holds meanwhile. */
  purpose: "reconnects" | "restores";
  /** Minimum copper size with its rule, or why it cannot be told. */
  size: { kind: "size"; size: string; rule: string } | { kind: "cannot_tell"; says: string };
  says: string;
  warnings: string;
}

const WARNINGS: readonly CautionId[] = ["gap_first", "leak_stays", "keep_bonds_closed", "qualified_person"];
/** What is tried first when several failed links could bring a piece back. */
const PREFERENCE: readonly PathLinkKind[] = [
  "gec",
  "array_electrode_bond",
  "battery_bond",
  "section_bond",
  "section_egc",
  "inverter_egc",
  "battery_gec",
  "further_bond",
  "piece_bond",
  "other_metal_bond",
];

/**
 * The fewest jumpers that bring every cut-off piece back to the service ground, along failed or missing links where
 * there are any, else from a section of the piece to its inverter or the ground bus; then one for each further failed
 * or missing link. A failed link stays where it is: the jumper goes beside it.
 */
export function proposeJumpers(records: SiteRecords, path: BondingPath): ProposedJumper[] {
  const holding = path.edges.filter(mayHold);
  const broken = path.edges
    .filter((edge) => !mayHold(edge))
    .sort((a, b) => PREFERENCE.indexOf(a.kind) - PREFERENCE.indexOf(b.kind) || (a.id < b.id ? -1 : 1));
  const joined: { id: string; from: string; to: string }[] = [...holding];
  const found: ProposedJumper[] = [];
  const used = new Set<string>();
  for (;;) {
    const next = crossing(broken, joined);
    const reached = reachableFrom("ground_bus", joined);
    const piece = path.cutOff.find((members) => !reached.has(members[0] as string));
    if (next) {
      used.add(next.id);
      joined.push(next);
      found.push(alongLink(records, path, next, "reconnects"));
    } else if (piece) {
      const id = piece.find((each) => each.startsWith("section:")) ?? (piece[0] as string);
      const jumper = withoutLink(records, path, id, reached);
      joined.push({ id: `jumper ${id}`, from: jumper.from, to: jumper.to });
      found.push(jumper);
    } else break;
  }
  for (const edge of broken) if (!used.has(edge.id)) found.push(alongLink(records, path, edge, "restores"));
  return found;
}

const mayHold = (edge: PathEdge) => edge.status === "verified" || edge.status === "unverified";

/** The first broken link that would bring something new to the ground bus. */
function crossing(broken: readonly PathEdge[], joined: readonly { id: string; from: string; to: string }[]) {
  const reached = reachableFrom("ground_bus", joined);
  return broken.find((edge) => reached.has(edge.from) !== reached.has(edge.to));
}

function alongLink(
  records: SiteRecords,
  path: BondingPath,
  edge: PathEdge,
  purpose: ProposedJumper["purpose"],
): ProposedJumper {
  const facts = { from: edge.from, to: edge.to, linkId: edge.id, purpose, size: minimumSize(records, edge) };
  const why =
    purpose === "restores"
      ? "Another way may hold; this one does not."
      : edge.kind === "gec"
        ? "Without it the service ground has no electrode."
        : "Without it this metal has no way to the service ground.";
  const doubt = edge.certain ? "" : " The failed record names no place: find out first which link it means.";
  return jumper(path, facts, `${why}${doubt}`);
}

function withoutLink(records: SiteRecords, path: BondingPath, id: string, reached: Set<string>): ProposedJumper {
  const node = path.nodes.find((each) => each.id === id);
  const inverter = `inverter:${node?.inverterId}`;
  const to = reached.has(inverter) && inverter !== id ? inverter : "ground_bus";
  const place = { sectionId: node?.sectionId ?? null, inverterId: node?.inverterId ?? null };
  const size = minimumSize(records, { kind: "section_bond", ...place });
  const facts = { from: id, to, linkId: null, purpose: "reconnects", size } as const;
  return jumper(path, facts, "No link to the service ground is recorded for it at all.");
}

function jumper(path: BondingPath, facts: Omit<ProposedJumper, "says" | "warnings">, why: string): ProposedJumper {
  const name = (id: string) => path.nodes.find((node) => node.id === id)?.label ?? id;
  const { size } = facts;
  const what =
    size.kind === "size"
      ? `At least ${sayConductorSize(size.size)} copper (NEC ${size.rule}).`
      : `Which size cannot be told: ${size.says}`;
  return {
    ...facts,
    says: `${name(facts.from)} to ${name(facts.to)}. ${why} ${what}`,
    warnings: cautionText(WARNINGS),
  };
}

/** Rules for a jumper beside a link; 250.53(C) and 250.102(D) from memory. */
const JUMPER_RULE: Partial<Record<PathLinkKind, string>> = {
  section_bond: "250.102(D)",
  other_metal_bond: "250.102(D)",
  piece_bond: "250.102(D)",
  further_bond: "250.102(D)",
  array_electrode_bond: "250.53(C)",
  battery_bond: "250.53(C)",
};

function minimumSize(
  records: SiteRecords,
  link: Pick<PathEdge, "kind" | "sectionId" | "inverterId">,
): ProposedJumper["size"] {
  const { site } = records;
  const section = records.sections.find((each) => each.sectionId === link.sectionId);
  const inverter = records.inverters.find((each) => each.inverterId === link.inverterId);
  // Which electrode such a bond ends at is not recorded, so no cap of a rod is taken.
  const electrode = link.kind === "gec" ? site.electrode : null;
  const base = section
    ? sectionEgcCase(section, null)
    : inverter
      ? inverterEgcCase(inverter, null)
      : { ...gecCase(site, null), electrode };
  const found = requiredConductor(site.necEdition, { ...base, material: "copper" });
  if (found.kind === "size") {
    const own = JUMPER_RULE[link.kind];
    return {
      kind: "size",
      size: found.size,
      rule: `${own ? `${own}, ` : ""}${found.rule}, ${site.necEdition} edition`,
    };
  }
  const says = found.kind === "cannot_tell" ? found.says : "the site's code edition is not recorded.";
  return { kind: "cannot_tell", says };
}
