import { type ResolvedField, resolvedFields } from "./resolution.ts";
import { WHOLE_VISIT } from "./signature.ts";
import { isStopReading, type VoltReading } from "./stop-rule.ts";
import { distinctEdits, isNamed, mergeEdits, type VisitEdit } from "./visit-edits.ts";

export { WHOLE_VISIT } from "./signature.ts";

/** A checklist line's name in edits: check, section, inverter. */
export const itemKey = (check: string, sectionId: string | null, inverterId: string | null): string =>
  JSON.stringify([check, sectionId ?? "", inverterId ?? ""]);

/** The value of a `reading` edit, as JSON. */
export interface EnteredReading {
  text: string;
  unit: string | null;
  quantity: "ac_rms" | "dc" | null;
  meter: "high" | "low" | "unknown";
  method: string | null;
  pointA: string | null;
  pointB: string | null;
  licence: string | null;
  /** The person wrote that they are a qualified person. Absent: not said. */
  qualified?: boolean;
  /** Serial number of the instrument, and its calibration day `YYYY-MM-DD`. Absent or null: not said. */
  instrument?: string | null;
  calibratedOn?: string | null;
}

/**
 * The field that a reading is written to: at one line AC and DC, and each pair of points, are readings of their own,
 * so that none replaces another.
 */
export function readingField({
  quantity,
  pointA,
  pointB,
}: Pick<EnteredReading, "quantity" | "pointA" | "pointB">): string {
  const points = [pointA ?? "", pointB ?? ""].sort();
  return `reading ${JSON.stringify([quantity ?? "", ...points])}`;
}

/** Rows by the columns of the import contract. */
export type ContractRow = Record<string, string>;

/** The reading that an edit holds; null: it holds none. */
export function readingOf({ field, value }: Pick<VisitEdit, "field" | "value">): EnteredReading | null {
  if (field !== "reading" && !field.startsWith("reading ")) return null;
  try {
    const read = JSON.parse(value) as EnteredReading | null;
    return read !== null && typeof read.text === "string" ? read : null;
  } catch {
    return null;
  }
}

/**
 * The state of a visit with each reading under the field of what it measured, whatever field it was sent in, and with
 * what qualified persons decided of its conflicts.
 */
export const mergedVisit = (edits: readonly VisitEdit[]): ResolvedField[] =>
  resolvedFields(
    mergeEdits(
      edits.map((edit) => {
        const reading = readingOf(edit);
        return reading ? { ...edit, field: readingField(reading) } : edit;
      }),
    ),
    edits,
  );

/** What each person says of themselves: two people's words differ by nature. */
const OWN_FIELDS: ReadonlySet<string> = new Set(["state", "leave_by", "signed", "weather", "access", "stop_reason"]);

/** Merged fields in which two people's different words are a conflict. */
export const sharedFields = (edits: readonly VisitEdit[]): ResolvedField[] =>
  mergedVisit(edits).filter(({ item, field }) => item !== WHOLE_VISIT || !OWN_FIELDS.has(field));

function voltsOf(edit: VisitEdit): VoltReading | null {
  const reading = readingOf(edit);
  const volts = Number(reading?.text.trim().replace(",", "."));
  if (reading?.unit !== "volt" || reading.text.trim() === "" || !Number.isFinite(volts)) return null;
  const { pointA, pointB, quantity, meter: meterImpedance, licence } = reading;
  return {
    ...{ id: edit.edit_id, item: edit.item, pointA, pointB, volts, quantity, meterImpedance, at: edit.at, licence },
    ...{ inspector: isNamed(edit.by) ? edit.by : null, qualified: reading.qualified === true },
  };
}

/** Every voltage in the log of a visit, also those written over since: what was read was read. */
export const voltReadings = (edits: readonly VisitEdit[]): VoltReading[] =>
  distinctEdits(edits).flatMap((edit) => voltsOf(edit) ?? []);

/** Edits that hold a reading at the stop limit. */
export const stopEdits = (edits: readonly VisitEdit[]): VisitEdit[] =>
  distinctEdits(edits).filter((edit) => {
    const read = voltsOf(edit);
    return read !== null && isStopReading(read);
  });

const iso = (at: number) => new Date(at).toISOString();
const DANGER = ["pass", "unable", "fail"];

const signatures = (edits: readonly VisitEdit[]) =>
  edits.filter((edit) => edit.item === WHOLE_VISIT && edit.field === "signed" && edit.value !== "");

/** When a visit was last signed; null: not yet. */
export function signedAt(edits: readonly VisitEdit[]): number | null {
  const signed = signatures(edits);
  return signed.length > 0 ? Math.max(...signed.map((edit) => edit.at)) : null;
}

/** Photos of a visit by the item they were taken at, as names. */
export type PhotosOf = ReadonlyMap<string, readonly string[]>;

/**
 * Inspection rows of a visit. Every stop reading is a row from the moment it arrives; everything else once the visit is
 * signed. Of two persons' outcomes the worse counts until a qualified person decided; each person's reading is a row of
 * its own.
 * @returns the more dangerous rows last, because of two rows with one key an import keeps the last
 */
export function inspectionRows(
  siteId: string,
  edits: readonly VisitEdit[],
  photosOf: PhotosOf = new Map(),
): ContractRow[] {
  const merged = mergedVisit(edits);
  const signed = signedAt(edits) !== null;
  const stops = new Set(stopEdits(edits).map((edit) => edit.edit_id));
  const rows: ContractRow[] = [];
  const measured = new Set<string>();
  for (const edit of distinctEdits(edits)) {
    const reading = readingOf(edit);
    if (!reading) continue;
    const last = merged.find((one) => one.item === edit.item && one.field === readingField(reading));
    const stands = last?.values.some((one) => one.by === edit.by && one.at === edit.at && one.value === edit.value);
    if (!(stops.has(edit.edit_id) || (signed && stands))) continue;
    measured.add(edit.item);
    const outcome = stops.has(edit.edit_id) ? "fail" : (worst(merged, edit.item)?.value ?? "unable");
    const note = noteOf(merged, edit.item, reading);
    rows.push({ ...rowOf(siteId, edit, outcome), ...columnsOf(reading), ...note, ...photoOf(photosOf, edit.item) });
  }
  if (signed) {
    for (const { item, field, resolved } of merged) {
      const said = field === "outcome" && !measured.has(item) ? worst(merged, item) : null;
      if (!said) continue;
      const decided = resolved ? { inspector: resolved.by, inspector_licence: resolved.licence } : {};
      const row = { ...rowOf(siteId, { item, ...said }, said.value), ...decided };
      rows.push({ ...row, ...noteOf(merged, item), ...photoOf(photosOf, item) });
    }
  }
  const danger = (row: ContractRow) => DANGER.indexOf(row.outcome ?? "") * 1e6 + Math.abs(Number(row.value ?? 0) || 0);
  return rows.filter((row) => row.check).sort((a, b) => danger(a) - danger(b));
}

type Merged = ResolvedField[];

/**
 * The outcome that counts. Where it was decided, the place in time stays that of the worst answer, so that the record
 * made of that one is replaced and not joined by another.
 */
function worst(merged: Merged, item: string): { by: string; value: string; at: number } | null {
  const found = merged.find((one) => one.item === item && one.field === "outcome");
  const known = (found?.values ?? []).filter((one) => DANGER.includes(one.value));
  const [first] = known.sort((a, b) => DANGER.indexOf(b.value) - DANGER.indexOf(a.value));
  return first ? { ...first, value: found?.resolved?.value ?? first.value } : null;
}

const photoOf = (photosOf: PhotosOf, item: string): ContractRow => {
  const names = photosOf.get(item) ?? [];
  return names.length > 0 ? { photo: names.join(";") } : {};
};

function rowOf(siteId: string, edit: Pick<VisitEdit, "item" | "by" | "at">, outcome: string): ContractRow {
  const [check = "", section = "", inverter = ""] = partsOfItem(edit.item);
  return {
    ...{ site_id: siteId, inspected_at: iso(edit.at), check, section_id: section, inverter_id: inverter },
    ...{ outcome, inspector: isNamed(edit.by) ? edit.by : "" },
  };
}

/** Check, section and inverter of a line's name in edits, empty where there is none; [] for what is no line. */
export function partsOfItem(item: string): string[] {
  try {
    const parts: unknown = JSON.parse(item);
    return Array.isArray(parts) ? parts.map(String) : [];
  } catch {
    return [];
  }
}

const columnsOf = (reading: EnteredReading): ContractRow => ({
  ...{ value: reading.text.trim().replace(",", "."), unit: reading.unit ?? "", quantity: reading.quantity ?? "" },
  ...{ meter_impedance: reading.meter, method: reading.method ?? "" },
  ...{ point_a: reading.pointA ?? "", point_b: reading.pointB ?? "" },
  ...{ instrument_serial: reading.instrument?.trim() ?? "", calibrated_on: reading.calibratedOn ?? "" },
  // Wherever the record is read, name and licence lower a stop: without the statement the licence stays in the note.
  inspector_licence: saidUnqualified(reading) ? "" : (reading.licence ?? ""),
});

const saidUnqualified = ({ unit, licence, qualified }: EnteredReading) =>
  unit === "volt" && Boolean(licence?.trim()) && qualified !== true;

function noteOf(merged: Merged, item: string, reading?: EnteredReading): ContractRow {
  const notes = (merged.find((one) => one.item === item && one.field === "note")?.values ?? []).map((one) => one.value);
  const outcome = merged.find((one) => one.item === item && one.field === "outcome");
  if (outcome?.resolved) {
    const said = outcome.values.map((one) => `${one.by} said ${one.value}`).join(", ");
    notes.push(`${said}; ${outcome.resolved.by} decided ${outcome.resolved.value}. ${outcome.resolved.reason}`.trim());
  }
  if (reading && saidUnqualified(reading))
    notes.push(`Licence given as ${reading.licence?.trim()}, without saying that it is a qualified person's reading.`);
  return notes.length > 0 ? { note: notes.join(" / ") } : {};
}

const valuesThatCount = (field: ResolvedField | undefined): string[] =>
  field?.resolved ? [field.resolved.value] : (field?.values ?? []).map((one) => one.value);

/** Repair rows of a signed visit: one for each cause that anybody named. Without a named cause there is none. */
export function repairRows(siteId: string, edits: readonly VisitEdit[]): ContractRow[] {
  if (signedAt(edits) === null) return [];
  // Of the first signature: a visit that is signed again replaces its repair.
  const at = Math.min(...signatures(edits).map((edit) => edit.at));
  const merged = mergedVisit(edits).filter((one) => one.item === WHOLE_VISIT);
  const values = (field: string) => [
    ...new Set(valuesThatCount(merged.find((one) => one.field === field)).filter(Boolean)),
  ];
  // Where two people differ on whether it was confirmed or tested, the lesser claim counts.
  const least = (field: string, nothing: string) => {
    const said = values(field);
    return said.length === 1 ? (said[0] as string) : nothing;
  };
  return values("cause").map((cause) => ({
    ...{ site_id: siteId, repaired_at: iso(at), cause, action: values("action").join(" / ") },
    ...{ confirmed: least("confirmed", "no"), tested_after: least("tested_after", "none") },
  }));
}
