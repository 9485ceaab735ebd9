import { CHECKS, type Inspection, type Site, type SiteRecords } from "../core/records.ts";
import { localDay } from "../core/zoned-time.ts";
import { siteConductors } from "../grounding/site-conductors.ts";
import { judgeReading, type ReadingJudgement } from "./reading-judgement.ts";
import { distinctEdits, isNamed, type VisitEdit } from "./visit-edits.ts";
import { type EnteredReading, partsOfItem, readingField, readingOf } from "./visit-records.ts";

/** A reading of a visit as it was written, with what it means beside the other readings of the site. */
export interface JudgedReading {
  item: string;
  /** Null: nobody was named. */
  by: string | null;
  /** Epoch ms by the phone's clock. */
  at: number;
  reading: EnteredReading;
  judgement: ReadingJudgement;
  /** The same person wrote another value for the same measurement later. */
  replaced: boolean;
}

/**
 * Every reading in the log of a visit, oldest first, also those written over since: what was read was read. Each is
 * judged beside all others of the visit and the inspections on record.
 */
export function judgedReadings(records: SiteRecords, edits: readonly VisitEdit[]): JudgedReading[] {
  const written = distinctEdits(edits).flatMap((edit) => {
    const reading = readingOf(edit);
    const row = reading ? asInspection(edit, reading, records.site) : null;
    return reading && row ? [{ edit, reading, row }] : [];
  });
  const others = [...records.inspections, ...written.map(({ row }) => row)];
  const last = new Map<string, number>();
  const keyOf = ({ edit, reading }: (typeof written)[number]) =>
    JSON.stringify([edit.item, readingField(reading), edit.by]);
  written.forEach((one, i) => {
    last.set(keyOf(one), i);
  });
  return written.map((one, i) => {
    const { edit, reading, row } = one;
    const { maxDcV, requiredSize } = contextOf(records, row, edit.at);
    return {
      item: edit.item,
      by: isNamed(edit.by) ? edit.by : null,
      at: edit.at,
      reading,
      judgement: judgeReading(row, { others, maxDcV, requiredSize, electrode: records.site.electrode }),
      replaced: last.get(keyOf(one)) !== i,
    };
  });
}

function contextOf(records: SiteRecords, { sectionId, inverterId }: Inspection, at: number) {
  const section = records.sections.find((each) => each.sectionId === sectionId);
  const inverter = records.inverters.find((each) => each.inverterId === (inverterId ?? section?.inverterId));
  const conductor = siteConductors(records, at).find(
    (each) => each.role !== "gec" && each.sectionId === sectionId && (sectionId || each.inverterId === inverterId),
  );
  const { verdict } = conductor ?? {};
  return {
    maxDcV: inverter?.maxDcV ?? null,
    requiredSize: verdict?.kind === "right" || verdict?.kind === "undersized" ? verdict.required : null,
  };
}

function asInspection(edit: VisitEdit, reading: EnteredReading, site: Site): Inspection | null {
  const [name, sectionId, inverterId] = partsOfItem(edit.item);
  const check = CHECKS.find((known) => known === name);
  if (!check) return null;
  return {
    ...{ siteId: site.siteId, check, sectionId: sectionId || null, inverterId: inverterId || null },
    inspectedAt: { at: edit.at, day: localDay(edit.at, site.timeZone), dayOnly: false },
    ...{ pointA: reading.pointA, pointB: reading.pointB, outcome: "pass" },
    ...{ value: reading.text.trim().replace(",", "."), unit: reading.unit as Inspection["unit"] },
    ...{ quantity: reading.quantity, meterImpedance: reading.meter, method: reading.method as Inspection["method"] },
    ...{ testVoltageV: null, surface: null, systemState: null, photo: null, note: null },
    ...{ instrumentSerial: reading.instrument ?? null, calibratedOn: reading.calibratedOn ?? null },
    ...{ inspector: isNamed(edit.by) ? edit.by : null, inspectorLicence: reading.licence },
  };
}
