import type { SiteRecords } from "../core/records.ts";
import type { PathEdge, PathNode } from "./path-graph.ts";
import { type Resistor, resistancesTo } from "./resistive-network.ts";

/** What a fault can send through the metal of one inverter's array, A DC. */
export interface FaultCurrent {
  /** The detector's setting: less than this may flow for good unnoticed. 0 where the setting is not recorded. */
  lowA: number;
  /** What all strings of the inverter can drive in strong light. */
  highA: number;
}

/** Voltage that a fault would set up along metal, or why nobody knows. Never a promise: metal is measured first. */
export type TouchVoltage = {
  /** A few words for a table; `says` is the whole sentence. */
  short: string;
  says: string;
} & ({ kind: "range"; lowV: number; highV: number; ohms: number } | { kind: "unknown"; maxDcV: number | null });

/** Currents of a strong sky over the rated short-circuit current: 1.25. NEC 690.8(A)(1). */
const STRONG_LIGHT = 1.25;

/**
 * Range of the DC fault current of an inverter's array.
 * @returns null where short-circuit current or strings of any of its sections is not recorded, or it has none
 * @source upper end NEC 690.8(A)(1); a fault is fed by every string in parallel. Lower end: the inverter's setting
 */
export function faultCurrent(records: SiteRecords, inverterId: string): FaultCurrent | null {
  const sections = records.sections.filter((section) => section.inverterId === inverterId);
  if (sections.length === 0) return null;
  let highA = 0;
  for (const { moduleIscA, parallelStrings } of sections) {
    if (moduleIscA === null || parallelStrings === null) return null;
    highA += STRONG_LIGHT * moduleIscA * parallelStrings;
  }
  const tripMa = records.inverters.find((inverter) => inverter.inverterId === inverterId)?.tripMa ?? 0;
  return { lowA: Math.min(tripMa / 1000, highA), highA };
}

/**
 * Accepted links with a resistance reading, as the resistors of a network.
 * @param runs links that were split into the parts among `edges`: one that was read whole stands for its parts, unless
 *   every part was read by itself, because both would count one conductor twice
 */
export function measuredNetwork(edges: readonly PathEdge[], runs: readonly PathEdge[] = []): Resistor[] {
  const read = (edge: PathEdge) => edge.status === "verified" && edge.measuredOhm !== null;
  const parts = (run: PathEdge) => edges.filter((edge) => edge.run === run.id);
  const whole = runs.filter(
    (run) => read(run) && parts(run).every((part) => part.status === "verified") && !parts(run).every(read),
  );
  return [...edges, ...whole].flatMap(({ id, from, to, status, measuredOhm }) =>
    status === "verified" && measuredOhm !== null ? [{ id, from, to, ohms: measuredOhm }] : [],
  );
}

/** Voltage that a DC fault would set up along one link: fault current times reading, for a verified link only. */
export function linkTouchVoltage(records: SiteRecords, edge: PathEdge): TouchVoltage {
  const maxDcV = arrayVoltage(records, edge.inverterId);
  if (edge.status !== "verified") return unknown(maxDcV, "The link is not verified.");
  if (edge.measuredOhm === null)
    return unknown(
      maxDcV,
      edge.by === "measurement"
        ? "It was measured only together with the rest of its run."
        : "The link was seen, not measured.",
    );
  return rangeOf(records, { inverterId: edge.inverterId, ohms: edge.measuredOhm, maxDcV });
}

/**
 * Voltage from a piece of metal to the service ground bus that a DC fault would set up.
 * @param ohms resistance to the bus over accepted measured links, of `resistancesToGround`; null without such a chain
 */
export function frameTouchVoltage(records: SiteRecords, node: PathNode, ohms: number | null): TouchVoltage {
  const maxDcV = arrayVoltage(records, node.inverterId);
  if (ohms === null) return unknown(maxDcV, "No chain of measured links leads from here to the service ground bus.");
  return rangeOf(records, { inverterId: node.inverterId, ohms, maxDcV });
}

/**
 * Resistance of every piece to the service ground bus over all accepted measured links together, ohm: an upper bound,
 * since a link without a reading can only lower it. A piece without a chain of measured links is absent.
 */
export function resistancesToGround(edges: readonly PathEdge[], runs: readonly PathEdge[] = []): Map<string, number> {
  return resistancesTo(measuredNetwork(edges, runs), "ground_bus");
}

/** Largest DC voltage of an inverter, or of all where none is meant; null where any of those is not recorded. */
function arrayVoltage(records: SiteRecords, inverterId: string | null): number | null {
  const meant = records.inverters.filter((each) => inverterId === null || each.inverterId === inverterId);
  let largest: number | null = null;
  for (const { maxDcV } of meant) {
    if (maxDcV === null) return null;
    largest = Math.max(largest ?? 0, maxDcV);
  }
  return largest;
}

function unknown(maxDcV: number | null, why: string): TouchVoltage {
  const upTo = maxDcV === null ? "" : `, ${maxDcV} V DC by the inverter's rating`;
  return {
    kind: "unknown",
    maxDcV,
    short: `unknown, up to ${maxDcV === null ? "what the array puts to ground" : `${maxDcV} V DC`}`,
    says: `Unknown: anything up to what the array can put to ground${upTo}. ${why}`,
  };
}

interface Known {
  inverterId: string | null;
  ohms: number;
  maxDcV: number | null;
}

function rangeOf(records: SiteRecords, { inverterId, ohms, maxDcV }: Known): TouchVoltage {
  const current = inverterId === null ? null : faultCurrent(records, inverterId);
  if (!current) return unknown(maxDcV, "The current that a fault could send through here is not known.");
  const cap = maxDcV ?? Number.POSITIVE_INFINITY;
  const lowV = Math.min(current.lowA * ohms, cap);
  const highV = Math.min(current.highA * ohms, cap);
  return {
    kind: "range",
    lowV,
    highV,
    ohms,
    short: `${short(lowV)} to ${short(highV)} V DC while it holds`,
    says: `${short(lowV)} to ${short(highV)} V DC, from ${short(current.lowA)} to ${short(current.highA)} A over ${short(ohms)} ohm as measured. A joint can open after the reading, and an AC fault is not in this: measure before touching.`,
  };
}

const short = (value: number) => Number(value.toPrecision(2)).toString();
