import { CHECKS, type Check, type Site } from "../core/records.ts";
import { ALWAYS, cautionText } from "../grounding/cautions.ts";
import { CHECK_CATALOGUE, checkCautions } from "../grounding/check-catalogue.ts";
import { codeReference } from "../grounding/code-reference.ts";
import type { ChecklistItem } from "./checklist.ts";
import { WHOLE_VISIT } from "./signature.ts";
import type { VisitEdit } from "./visit-edits.ts";
import { itemKey } from "./visit-records.ts";

/** The place that an item of the log names; null: it names no check that is known. */
export function placeOfItem(
  item: string,
): { check: Check; sectionId: string | null; inverterId: string | null } | null {
  try {
    const parts: unknown = JSON.parse(item);
    if (!Array.isArray(parts)) return null;
    const [check, section, inverter] = parts.map(String);
    const known = CHECKS.find((one) => one === check);
    return known ? { check: known, sectionId: section || null, inverterId: inverter || null } : null;
  } catch {
    return null;
  }
}

/** Items of a log that are on no line of a list, in the order in which they were first written. */
export function strayItems(edits: readonly VisitEdit[], listed: ReadonlySet<string>): string[] {
  const items = [...edits].sort((a, b) => a.at - b.at).map((edit) => edit.item);
  return [...new Set(items)].filter((item) => item !== WHOLE_VISIT && !listed.has(item));
}

type Line = Pick<
  ChecklistItem,
  "check" | "sectionId" | "inverterId" | "says" | "accept" | "codeReference" | "unit" | "caution"
>;

/** Lines for what was written at a visit and is not on its list now: a list follows the records, and moves with them. */
export function writtenItems(
  edits: readonly VisitEdit[],
  listed: ReadonlySet<string>,
  edition: Site["necEdition"],
): Line[] {
  return strayItems(edits, listed).flatMap((item) => {
    const place = placeOfItem(item);
    if (!place || itemKey(place.check, place.sectionId, place.inverterId) !== item) return [];
    const entry = CHECK_CATALOGUE[place.check];
    return [
      {
        ...place,
        ...{ says: entry.says, accept: entry.accept, unit: entry.unit },
        codeReference: codeReference(place.check, edition),
        caution: cautionText([...ALWAYS, ...checkCautions(place.check, entry.place)]),
      },
    ];
  });
}
