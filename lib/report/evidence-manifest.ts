import { createHash } from "node:crypto";
import { z } from "zod";

/** Name under which the manifest lies beside the parts. */
export const MANIFEST_FILE = "manifest.json";
export const EVIDENCE_SCHEMA = "raintrip-evidence";
export const EVIDENCE_SCHEMA_VERSION = 1;

const Sha256 = z.string().regex(/^[0-9a-f]{64}$/);

/** A part is a plain file beside the manifest: a name that leads elsewhere is refused. */
const PartName = z.string().regex(/^[A-Za-z0-9][A-Za-z0-9._-]{0,199}$/);

export const EvidencePart = z.strictObject({
  file: PartName,
  bytes: z.number().int().min(0),
  sha256: Sha256,
  /** Records in it, without a header; null where the part is no list. */
  rows: z.number().int().min(0).nullable(),
});
export type EvidencePart = z.infer<typeof EvidencePart>;

/** What an evidence file is about and of which parts it consists. */
export const EvidenceContents = z.strictObject({
  schema: z.literal(EVIDENCE_SCHEMA),
  schema_version: z.literal(EVIDENCE_SCHEMA_VERSION),
  site_id: z.string(),
  site_name: z.string(),
  time_zone: z.string(),
  made_at: z.iso.datetime(),
  as_of: z.iso.datetime(),
  parameter_version: z.string(),
  code_version: z.string(),
  /** Fingerprint of what the score was computed from. */
  input_hash: z.string(),
  parts: z
    .array(EvidencePart)
    .refine((parts) => new Set(parts.map((p) => p.file)).size === parts.length, { error: "a part is named twice" }),
});
export type EvidenceContents = z.infer<typeof EvidenceContents>;

/** The contents with their seal: SHA-256 of the contents as this file writes them. */
export const EvidenceManifest = z.strictObject({ ...EvidenceContents.shape, seal: Sha256 });
export type EvidenceManifest = z.infer<typeof EvidenceManifest>;

/** Keys in the order of the schema, so that equal contents are equal bytes. */
function ordered(contents: EvidenceContents): EvidenceContents {
  const parts = contents.parts.map(({ file, bytes, sha256, rows }) => ({ file, bytes, sha256, rows }));
  const keys = Object.keys(EvidenceContents.shape) as (keyof EvidenceContents)[];
  return { ...(Object.fromEntries(keys.map((key) => [key, contents[key]])) as EvidenceContents), parts };
}

export function sealOf(contents: EvidenceContents): string {
  return createHash("sha256")
    .update(JSON.stringify(ordered(contents)))
    .digest("hex");
}

/** The one text that a manifest with these contents and this seal has: any other byte is a change. */
export function manifestText(contents: EvidenceContents, seal = sealOf(contents)): string {
  return `${JSON.stringify({ ...ordered(contents), seal }, null, 2)}\n`;
}
