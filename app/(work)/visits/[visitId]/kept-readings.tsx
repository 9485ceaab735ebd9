import { useUnits } from "@/app/_ui/units.tsx";
import { KEPT_READINGS } from "@/app/_words/visit.ts";
import { readingIn, type Units } from "@/lib/core/units.ts";
import type { VisitEdit } from "@/lib/visit/visit-edits.ts";
import { type EnteredReading, mergedVisit, readingOf } from "@/lib/visit/visit-records.ts";
import { pointName } from "./points.ts";

/** What was read at one line, each quantity and each pair of points by itself, and where two people differ. */
export function KeptReadings({ edits, itemId }: { edits: readonly VisitEdit[]; itemId: string }) {
  const units = useUnits();
  const fields = mergedVisit(edits.filter((edit) => edit.item === itemId)).map(({ field, values }) => ({
    field,
    read: values.flatMap(({ by, value }) => {
      const reading = readingOf({ field, value });
      return reading && reading.text.trim() !== "" ? [{ by, reading }] : [];
    }),
  }));
  return fields
    .filter(({ read }) => read.length > 0)
    .map(({ field, read }) => (
      <div key={field}>
        {read.map(({ by, reading }) => (
          <p key={by}>{KEPT_READINGS.keptReadBy(sayReading(reading, units), by)}</p>
        ))}
        {new Set(read.map((one) => one.reading.text.trim().replace(",", "."))).size > 1 ? (
          <p className="note danger">{KEPT_READINGS.twoReadingsOfThe}</p>
        ) : null}
      </div>
    ));
}

function sayReading({ text, unit, quantity, pointA, pointB }: EnteredReading, units: Units): string {
  const kind = quantity === "dc" ? " DC" : quantity === "ac_rms" ? " AC" : "";
  const between = pointA || pointB ? `, ${pointName(pointA)} to ${pointName(pointB)}` : "";
  return `${readingIn(units, text, unit)}${kind}${between}`;
}
