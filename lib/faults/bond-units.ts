import type { Inverter, Section } from "../core/records.ts";
import type { Unit } from "./episode.ts";

/**
 * Which inverters trip together because they share metal: a section of one is recorded as bonded to a section of the
 * other, or both have a section in the same combiner. Being bonded to the bus joins nothing: every section may be.
 * @returns units sorted by id; every inverter is in exactly one
 */
export function bondUnits(inverters: readonly Pick<Inverter, "inverterId">[], sections: readonly Section[]): Unit[] {
  const parent = new Map(inverters.map((i) => [i.inverterId, i.inverterId]));
  const root = (id: string): string => {
    const up = parent.get(id) as string;
    if (up === id) return id;
    const top = root(up);
    parent.set(id, top);
    return top;
  };
  const join = (a: string, b: string) => {
    if (!parent.has(a) || !parent.has(b)) return;
    const [first, second] = [root(a), root(b)].sort();
    parent.set(second as string, first as string);
  };
  const inverterOf = new Map(sections.map((s) => [s.sectionId, s.inverterId]));
  const firstInCombiner = new Map<string, string>();
  for (const section of sections) {
    const other = section.bondedTo === null ? undefined : inverterOf.get(section.bondedTo);
    if (other !== undefined && section.bondedTo !== "bus") join(section.inverterId, other);
    if (section.combinerId === null) continue;
    const first = firstInCombiner.get(section.combinerId);
    if (first === undefined) firstInCombiner.set(section.combinerId, section.inverterId);
    else join(first, section.inverterId);
  }
  const members = new Map<string, string[]>();
  for (const id of [...parent.keys()].sort()) {
    const top = root(id);
    const list = members.get(top);
    if (list) list.push(id);
    else members.set(top, [id]);
  }
  return [...members.values()]
    .map((ids) => ({ unitId: ids[0] as string, inverterIds: ids }))
    .sort((a, b) => (a.unitId < b.unitId ? -1 : 1));
}
