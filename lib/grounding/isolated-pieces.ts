import type { BondingPath } from "./bonding-path.ts";
import type { PathNode, PathNodeKind } from "./path-graph.ts";

export type IsolatedKind =
  | "isolated_section"
  | "isolated_inverter"
  | "rod_not_bonded_back"
  | "floating_battery"
  | "service_without_electrode"
  | "isolated_enclosure"
  | "isolated_metal";

/** A piece of metal that no link which may hold joins to the service ground bus. */
export interface IsolatedPiece {
  kind: IsolatedKind;
  /** Node ids, sorted. */
  members: string[];
  says: string;
}

/** What names a piece, most telling first. */
const NAMED_BY: readonly (readonly [PathNodeKind, IsolatedKind])[] = [
  ["section", "isolated_section"],
  ["inverter", "isolated_inverter"],
  ["battery", "floating_battery"],
  ["battery_electrode", "floating_battery"],
  ["array_electrode", "rod_not_bonded_back"],
  ["further_electrode", "rod_not_bonded_back"],
  ["electrode", "service_without_electrode"],
  ["combiner", "isolated_enclosure"],
  ["ac_disconnect", "isolated_enclosure"],
  ["load_centre", "isolated_enclosure"],
  ["ground_bar", "isolated_enclosure"],
];

const SAYS: Record<IsolatedKind, (labels: string) => string> = {
  isolated_section: (labels) =>
    `${labels}: no bond or conductor that may hold leads from here to the service ground. A leak puts this metal at array voltage and no current flows back to trip anything.`,
  isolated_inverter: (labels) => `${labels}: the enclosure has no conductor that may hold to the service ground.`,
  isolated_enclosure: (labels) =>
    `${labels}: no bond or conductor that may hold joins it to the rest. A fault inside puts it at that voltage and nothing trips.`,
  rod_not_bonded_back: (labels) =>
    `${labels === "Separate array electrode" ? "The array's own electrode" : labels} is not joined to the service ground. Earth between two electrodes clears no fault, whatever either of them reads.`,
  floating_battery: () =>
    "The battery's ground is not joined to the service ground: it floats against everything else.",
  service_without_electrode: () =>
    "The service ground bus is not joined to its grounding electrode by anything that may hold.",
  isolated_metal: (labels) => `${labels}: not bonded to the frames beside it by anything that may hold.`,
};

/** The cut-off pieces of a path by what they are. */
export function isolatedPieces(path: BondingPath): IsolatedPiece[] {
  const nodes = new Map(path.nodes.map((node) => [node.id, node]));
  return path.cutOff.map((members) => {
    const own = members.flatMap((id) => nodes.get(id) ?? []);
    const kind = NAMED_BY.find(([node]) => own.some((each) => each.kind === node))?.[1] ?? "isolated_metal";
    return { kind, members, says: SAYS[kind](labelsOf(own, kind)) };
  });
}

/** Names of what counts; the metal beside a section goes without saying. */
function labelsOf(nodes: readonly PathNode[], kind: IsolatedKind): string {
  const told = kind === "isolated_metal" ? nodes : nodes.filter((node) => node.kind !== "other_metal");
  return told.map((node) => node.label).join(", ");
}
