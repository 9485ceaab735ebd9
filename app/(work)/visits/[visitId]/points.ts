import { POINTS } from "@/app/_words/visit.ts";
import type { ChecklistItem } from "@/lib/reads/documents.ts";
import { pointName } from "@/lib/visit/say-stop.ts";

export { pointName };

/** Between what a reading of this visit can be taken, as value and name. */
export function pointsOf(
  checklist: readonly ChecklistItem[],
  pieces: readonly { id: string; label: string }[] = [],
): string[][] {
  const sections = checklist.flatMap((item) => (item.section_id ? [`section:${item.section_id}`] : []));
  const inverters = checklist.flatMap((item) => (item.inverter_id ? [`inverter:${item.inverter_id}`] : []));
  const all = [...new Set([...sections.sort(), ...inverters.sort()]), "ground_bus", "electrode", "earth"];
  const further = pieces.map(({ id, label }) => [id, label]);
  return [["", POINTS.notSaid], ...all.map((point) => [point, pointName(point)]), ...further];
}
