"use client";

import { words } from "@/app/_ui/format.ts";
import { When } from "@/app/_ui/when.tsx";
import { OFF_THE_LIST } from "@/app/_words/visit.ts";
import type { ChecklistItem } from "@/lib/reads/documents.ts";
import type { VisitEdit } from "@/lib/visit/visit-edits.ts";
import { itemKey, mergedVisit, readingOf, WHOLE_VISIT } from "@/lib/visit/visit-records.ts";
import { placeOfItem, strayItems } from "@/lib/visit/written-items.ts";

/** An item of the log in words. */
export function sayItem(item: string): string {
  if (item === WHOLE_VISIT) return OFF_THE_LIST.theVisit;
  const place = placeOfItem(item);
  if (!place) return item;
  const where = place.sectionId
    ? OFF_THE_LIST.section(place.sectionId)
    : place.inverterId
      ? OFF_THE_LIST.inverter(place.inverterId)
      : "";
  return `${words(place.check)}${where}`;
}

interface Props {
  edits: readonly VisitEdit[];
  checklist: readonly ChecklistItem[];
  /** Items whose section or inverter is not on record any more. */
  gone: readonly string[];
}

/** What was written at places that the list does not have, or that the records do not have any more: kept, and shown. */
export function OffTheList({ edits, checklist, gone }: Props) {
  const listed = new Set(checklist.map((item) => itemKey(item.check, item.section_id, item.inverter_id)));
  const items = [...new Set([...gone, ...strayItems(edits, listed)])];
  if (items.length === 0) return null;
  const merged = mergedVisit(edits);
  return (
    <section className="note danger" aria-label={OFF_THE_LIST.writtenAtPlacesThat}>
      <p>{OFF_THE_LIST.writtenAtPlacesThatAre}</p>
      {items.map((item) => (
        <div key={item}>
          <strong>{sayItem(item)}</strong>
          <ul>
            {merged
              .filter((one) => one.item === item)
              .flatMap(({ field, values }) =>
                values.map(({ by, value, at }) => {
                  const reading = readingOf({ field, value });
                  const said = reading
                    ? OFF_THE_LIST.reading(reading.text, reading.unit ?? "")
                    : `${words(field)} ${value}`;
                  return (
                    <li key={`${field}/${by}`}>
                      {said}: {by}, <When at={new Date(at).toISOString()} />
                    </li>
                  );
                }),
              )}
          </ul>
        </div>
      ))}
    </section>
  );
}
