import { distinctEdits, isNamed, type VisitEdit } from "./visit-edits.ts";

/** The item that holds what concerns the whole visit: state, sign-off, cause, action. */
export const WHOLE_VISIT = "visit";

/** Fields that say where a visit stands and are no part of what is signed for. */
const BESIDE_THE_RECORD: ReadonlySet<string> = new Set(["signed", "state", "leave_by"]);

const isRecord = ({ item, field }: VisitEdit) => item !== WHOLE_VISIT || !BESIDE_THE_RECORD.has(field);

/** The value of a `signed` edit. */
export interface Signature {
  name: string;
  licence: string;
  /** Digest of all that the person had before them. */
  over: string;
}

/**
 * A digest of the edits that make the record, whatever their order. It tells whether two phones speak of the same
 * record; it is no proof against forgery (two rounds of 32-bit FNV-1a over the sorted ids).
 */
export function recordDigest(edits: readonly VisitEdit[]): string {
  const ids = distinctEdits(edits)
    .filter(isRecord)
    .map((edit) => edit.edit_id);
  const text = ids.sort().join();
  const round = (basis: number) => {
    let hash = basis;
    for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193);
    return (hash >>> 0).toString(16).padStart(8, "0");
  };
  return `${ids.length}-${round(0x811c9dc5)}${round(0x9dc5811c)}`;
}

export const signatureValue = (signature: Signature): string => JSON.stringify(signature);

export interface SignOff {
  /** Who wrote it, by the log. */
  by: string;
  /** Name and licence as given. */
  says: string;
  licence: string;
  at: number;
  /** It is for the record as it is now: nothing was written since that the person had not before them. */
  stands: boolean;
}

/** The newest signature of a visit, one that stands before all others; null: nobody signed. */
export function signOffOf(edits: readonly VisitEdit[]): SignOff | null {
  const found = signOffs(edits);
  return found.findLast((one) => one.stands) ?? found.at(-1) ?? null;
}

/** Every signature of a visit, the oldest first. */
export function signOffs(edits: readonly VisitEdit[]): SignOff[] {
  const all = distinctEdits(edits);
  const digest = recordDigest(all);
  const record = all.filter(isRecord);
  return all
    .filter((edit) => edit.item === WHOLE_VISIT && edit.field === "signed" && edit.value !== "")
    .map((edit) => {
      const read = readSignature(edit.value);
      const stands = read ? read.over === digest : !record.some((one) => isAfter(one, edit));
      const says = read ? [read.name, read.licence].filter(Boolean).join(", ") : edit.value;
      const plain = edit.value.startsWith(`${edit.by}, `) ? edit.value.slice(edit.by.length + 2) : edit.value;
      const licence = read ? read.licence : plain;
      return { by: edit.by, says, licence, at: edit.at, stands: stands && isNamed(edit.by) };
    });
}

/** A signature without a digest is for what its phone wrote before it, and what others wrote earlier by their clocks. */
const isAfter = (one: VisitEdit, signed: VisitEdit) =>
  one.device === signed.device ? one.seq > signed.seq : one.at > signed.at;

function readSignature(value: string): Signature | null {
  try {
    const read = JSON.parse(value) as Signature | null;
    return read !== null && typeof read.name === "string" && typeof read.over === "string" ? read : null;
  } catch {
    return null;
  }
}
