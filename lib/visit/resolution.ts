import { distinctEdits, isNamed, type MergedField, type VisitEdit } from "./visit-edits.ts";

/** What a qualified person writes to end a conflict: the field in its name, the rest as JSON in its value. */
export interface Resolution {
  /** The value that counts from now on; one of those in conflict. */
  value: string;
  /** What it was chosen among. Where somebody wrote anew since, it decides nothing any more. */
  among: { by: string; value: string }[];
  licence: string;
  /** The person wrote that they are a qualified person. */
  qualified: boolean;
  reason: string;
}

const PREFIX = "resolve ";
export const resolutionField = (field: string): string => `${PREFIX}${field}`;
export const isResolution = ({ field }: Pick<VisitEdit, "field">): boolean => field.startsWith(PREFIX);

export interface ResolvedField extends MergedField {
  /** Who decided it, and for what; null: nobody, or another value came since. */
  resolved: { by: string; licence: string; value: string; at: number; reason: string } | null;
}

/** Readings are never decided by choosing among them: only a further reading ends their conflict. */
const isReading = (field: string) => field === "reading" || field.startsWith("reading ");

/** Whether two readings differ in what was read; who read it with which meter is no difference. */
function readingsDiffer(values: readonly { value: string }[]): boolean {
  const text = (value: string) => {
    try {
      const read = JSON.parse(value) as { text?: unknown; unit?: unknown } | null;
      return `${String(read?.text ?? "")
        .trim()
        .replace(",", ".")} ${String(read?.unit ?? "")}`;
    } catch {
      return value;
    }
  };
  return new Set(values.map((one) => text(one.value))).size > 1;
}

const sameValues = (a: readonly { by: string; value: string }[], b: readonly { by: string; value: string }[]) => {
  const key = (list: readonly { by: string; value: string }[]) =>
    JSON.stringify(list.map(({ by, value }) => [by, value]).sort());
  return key(a) === key(b);
};

/**
 * Merged fields with what a named, qualified person decided of each conflict. A decision without name, licence or the
 * statement counts for nothing; of several, the last counts; both values stay in the log.
 */
export function resolvedFields(merged: readonly MergedField[], edits: readonly VisitEdit[]): ResolvedField[] {
  const decisions = distinctEdits(edits).filter(isResolution);
  return merged
    .filter((field) => !isResolution(field))
    .map((field) => {
      if (isReading(field.field)) return { ...field, conflict: readingsDiffer(field.values), resolved: null };
      const own = decisions.filter((edit) => edit.item === field.item && edit.field === resolutionField(field.field));
      const last = own.findLast((edit) => counts(edit, field));
      const read = last ? readResolution(last.value) : null;
      if (!last || !read || !field.conflict) return { ...field, resolved: null };
      const { value, licence, reason } = read;
      return { ...field, conflict: false, resolved: { by: last.by, at: last.at, value, licence, reason } };
    });
}

function counts(edit: VisitEdit, field: MergedField): boolean {
  const read = readResolution(edit.value);
  if (!read || !isNamed(edit.by) || !read.licence.trim() || read.qualified !== true) return false;
  return field.values.some((one) => one.value === read.value) && sameValues(read.among, field.values);
}

export function readResolution(value: string): Resolution | null {
  try {
    const read = JSON.parse(value) as Resolution | null;
    const isOne = read !== null && typeof read.value === "string" && typeof read.licence === "string";
    return isOne && Array.isArray(read.among) ? { ...read, reason: read.reason ?? "" } : null;
  } catch {
    return null;
  }
}
