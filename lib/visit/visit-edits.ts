/** One thing that one person wrote on one phone. Edits are only ever added. */
export interface VisitEdit {
  edit_id: string;
  visit_id: string;
  item: string;
  field: string;
  value: string;
  /** Milliseconds since 1970 by the phone's clock. */
  at: number;
  by: string;
  device: string;
  /** Counts up on one device. */
  seq: number;
}

/** Stands for the person where no name was given. It is nobody's name: what it wrote counts as written by nobody. */
export const NOT_NAMED = "not named";

/** Whether an edit tells who wrote it. */
export const isNamed = (by: string): boolean => by.trim() !== "" && by.trim().toLowerCase() !== NOT_NAMED;

/** What one field of one item says: one value, or each person's own where they differ. */
export interface MergedField {
  item: string;
  field: string;
  values: { by: string; value: string; at: number }[];
  conflict: boolean;
}

const byText = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0);

const WRITTEN = (edit: VisitEdit) => JSON.stringify([edit.item, edit.field, edit.value, edit.at, edit.by, edit.seq]);

/** Each edit once, whatever was sent twice. Two edits under one id: the one that sorts first, on every machine alike. */
export function distinctEdits(edits: readonly VisitEdit[]): VisitEdit[] {
  const byId = new Map<string, VisitEdit>();
  for (const edit of edits) {
    const held = byId.get(edit.edit_id);
    if (!held || byText(WRITTEN(edit), WRITTEN(held)) < 0) byId.set(edit.edit_id, edit);
  }
  return [...byId.values()].sort(
    (a, b) => a.at - b.at || byText(a.device, b.device) || a.seq - b.seq || byText(a.edit_id, b.edit_id),
  );
}

/**
 * The state of a visit from the edits of all phones. The same set of edits gives the same state in any order and with
 * any repetition. Of one person the last word counts (on one
 * phone by its own count, because its clock may be set back; across phones by time); two persons' different last words
 * are both kept as a conflict, which ends when one takes the other's value.
 */
export function mergeEdits(edits: readonly VisitEdit[]): MergedField[] {
  const lastOnDevice = new Map<string, VisitEdit>();
  for (const edit of distinctEdits(edits)) {
    const key = JSON.stringify([edit.item, edit.field, edit.by, edit.device]);
    const held = lastOnDevice.get(key);
    if (!held || edit.seq > held.seq || (edit.seq === held.seq && edit.edit_id > held.edit_id))
      lastOnDevice.set(key, edit);
  }
  const lastOfPerson = new Map<string, VisitEdit>();
  for (const edit of lastOnDevice.values()) {
    const key = JSON.stringify([edit.item, edit.field, edit.by]);
    const held = lastOfPerson.get(key);
    if (!held || edit.at > held.at || (edit.at === held.at && edit.edit_id > held.edit_id)) lastOfPerson.set(key, edit);
  }
  const fields = new Map<string, MergedField>();
  for (const { item, field, by, value, at } of lastOfPerson.values()) {
    const key = JSON.stringify([item, field]);
    const merged = fields.get(key) ?? { item, field, values: [], conflict: false };
    merged.values.push({ by, value, at });
    fields.set(key, merged);
  }
  for (const merged of fields.values()) {
    merged.values.sort((a, b) => byText(a.by, b.by));
    merged.conflict = new Set(merged.values.map((one) => one.value)).size > 1;
  }
  return [...fields.values()].sort((a, b) => byText(a.item, b.item) || byText(a.field, b.field));
}
