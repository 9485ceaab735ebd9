import { createHash } from "node:crypto";
import { z } from "zod";

const Hex = z.string().regex(/^([0-9a-f]{2})*$/);

/**
 * An audit entry as an evidence file carries it. `hashed` is the very text that the entry's hash covers after the hash
 * of the entry before it, so that anyone can compute the hash again without the database.
 */
export const AuditLine = z.strictObject({
  seq: z.number().int(),
  at: z.iso.datetime(),
  person: z.string(),
  role: z.string(),
  action: z.string(),
  subject: z.string(),
  detail: z.unknown(),
  previous_hash: Hex,
  hash: Hex,
  hashed: z.string(),
});
export type AuditLine = z.infer<typeof AuditLine>;

/**
 * What is wrong with a line of the audit part, or null.
 * @param before the line above it, to whose hash it must be tied when their numbers follow
 */
export function auditLineTrouble(
  text: string,
  before: AuditLine | null,
): { line: AuditLine | null; says: string | null } {
  let line: AuditLine;
  try {
    line = AuditLine.parse(JSON.parse(text));
  } catch {
    return { line: null, says: "is no audit entry" };
  }
  const hash = createHash("sha256").update(Buffer.from(line.previous_hash, "hex")).update(line.hashed).digest("hex");
  if (hash !== line.hash) return { line, says: `entry ${line.seq} does not have the hash that its text gives` };
  if (!tellsTheSame(line)) return { line, says: `entry ${line.seq} says something else than the text that was hashed` };
  if (before && line.seq <= before.seq) return { line, says: `entry ${line.seq} is out of order` };
  if (before && line.seq === before.seq + 1 && line.previous_hash !== before.hash)
    return { line, says: `entry ${line.seq} does not follow entry ${before.seq}` };
  return { line, says: null };
}

function tellsTheSame(line: AuditLine): boolean {
  let told: unknown;
  try {
    told = JSON.parse(line.hashed);
  } catch {
    return false;
  }
  if (!Array.isArray(told) || told.length !== 8) return false;
  const { seq, at, person, role, action, subject, detail } = line;
  const shown = [seq, Date.parse(at), person, role, action, subject];
  return shown.every((value, i) => value === told[i + 1]) && JSON.stringify(detail) === JSON.stringify(told[7]);
}
