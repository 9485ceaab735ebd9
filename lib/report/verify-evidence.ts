import { createHash } from "node:crypto";
import { createReadStream } from "node:fs";
import { lstat, open, readdir } from "node:fs/promises";
import path from "node:path";
import { createInterface } from "node:readline";
import { AppError } from "../core/app-error.ts";
import { type AuditLine, auditLineTrouble } from "./audit-line.ts";
import { EvidenceManifest, type EvidencePart, manifestText, sealOf } from "./evidence-manifest.ts";

export const AUDIT_FILE = "audit.jsonl";
const LONGEST_MANIFEST = 4 * 1024 * 1024;
const LONGEST_AUDIT_LINE = 16 * 1024 * 1024;

export interface EvidenceProblem {
  file: string;
  what: "changed" | "missing" | "additional" | "unreadable";
  says: string;
}

export interface EvidenceCheck {
  intact: boolean;
  /** What the manifest says of itself; null when it cannot be read as one. */
  manifest: EvidenceManifest | null;
  /** Every file at fault, the manifest first, then by name. */
  problems: EvidenceProblem[];
}

/**
 * Hold the files beside a manifest against it, with nothing but the files: each changed, missing or additional one is
 * named. A forger who makes a new manifest too is not found this way: compare the seal with the one its maker recorded.
 * @throws AppError `file_unreadable` when there is no such file
 */
export async function verifyEvidence(file: string): Promise<EvidenceCheck> {
  const name = path.basename(file);
  const bytes = await manifestBytes(file);
  const { manifest, says } = readManifest(bytes);
  const problems: EvidenceProblem[] = says ? [{ file: name, what: "changed", says }] : [];
  if (manifest) {
    const folder = path.dirname(path.resolve(file));
    const found: EvidenceProblem[] = [];
    const asFound: EvidencePart[] = [];
    for (const part of manifest.parts) {
      const problem = await partProblem(folder, part);
      if (problem) found.push(problem);
      asFound.push(problem?.what === "changed" && says ? await partAsFound(folder, part) : part);
    }
    // Where the seal fits the parts as they lie there, what the manifest says of them was changed, and not they.
    if (!says || sealOf({ ...manifestContents(manifest), parts: asFound }) !== manifest.seal) problems.push(...found);
    problems.push(...(await additional(folder, new Set([name, ...manifest.parts.map((p) => p.file)]))));
  }
  return { intact: problems.length === 0, manifest, problems };
}

async function manifestBytes(file: string): Promise<Buffer> {
  try {
    const handle = await open(file);
    try {
      const buffer = Buffer.alloc(LONGEST_MANIFEST);
      const { bytesRead } = await handle.read(buffer, 0, LONGEST_MANIFEST, 0);
      return buffer.subarray(0, bytesRead);
    } finally {
      await handle.close();
    }
  } catch (cause) {
    throw new AppError("file_unreadable", {
      message: `${file} cannot be read (${(cause as Error).message}). Give the manifest.json of an evidence file.`,
      cause,
    });
  }
}

function readManifest(bytes: Buffer): { manifest: EvidenceManifest | null; says: string | null } {
  let manifest: EvidenceManifest;
  try {
    manifest = EvidenceManifest.parse(JSON.parse(bytes.toString("utf8")));
  } catch {
    return { manifest: null, says: "is not a manifest as it was written, so no part can be held against it" };
  }
  const { seal, ...contents } = manifest;
  if (seal !== sealOf(contents)) return { manifest, says: "was changed after it was made: its seal does not fit" };
  if (!bytes.equals(Buffer.from(manifestText(contents, seal))))
    return { manifest, says: "was changed after it was made: it is not written as it was" };
  return { manifest, says: null };
}

function manifestContents({ seal: _, ...contents }: EvidenceManifest): Omit<EvidenceManifest, "seal"> {
  return contents;
}

async function sha256Of(file: string): Promise<string> {
  const hash = createHash("sha256");
  for await (const chunk of createReadStream(file)) hash.update(chunk as Buffer);
  return hash.digest("hex");
}

/** What a manifest would say of a part as it lies there; as it says where that cannot be read. */
async function partAsFound(folder: string, part: EvidencePart): Promise<EvidencePart> {
  const at = path.join(folder, part.file);
  const stat = await lstat(at).catch(() => null);
  if (!stat?.isFile()) return part;
  return { ...part, bytes: stat.size, sha256: await sha256Of(at).catch(() => part.sha256) };
}

async function partProblem(folder: string, part: EvidencePart): Promise<EvidenceProblem | null> {
  const { file } = part;
  const at = path.join(folder, file);
  const stat = await lstat(at).catch(() => null);
  if (!stat) return { file, what: "missing", says: "is named in the manifest but not there" };
  if (!stat.isFile()) return { file, what: "changed", says: "is no plain file" };
  if (stat.size !== part.bytes)
    return { file, what: "changed", says: `has ${stat.size} bytes where the manifest says ${part.bytes}` };
  try {
    if ((await sha256Of(at)) !== part.sha256)
      return { file, what: "changed", says: "does not have the SHA-256 of the manifest" };
    const says = file === AUDIT_FILE ? await auditTrouble(at) : null;
    return says ? { file, what: "changed", says } : null;
  } catch (error) {
    return { file, what: "unreadable", says: `cannot be read (${(error as Error).message})` };
  }
}

/** The first entry of the audit part whose hash does not hold; null: all do. */
async function auditTrouble(file: string): Promise<string | null> {
  let before: AuditLine | null = null;
  for await (const text of createInterface({ input: createReadStream(file), crlfDelay: Number.POSITIVE_INFINITY })) {
    if (text.length > LONGEST_AUDIT_LINE) return "holds a line too long to be an audit entry";
    const { line, says } = auditLineTrouble(text, before);
    if (says) return says;
    before = line;
  }
  return null;
}

/** Whatever lies in the folder without being named, folders in it too. */
async function additional(folder: string, named: ReadonlySet<string>): Promise<EvidenceProblem[]> {
  const found = await readdir(folder);
  return found
    .filter((file) => !named.has(file))
    .sort()
    .map((file) => ({ file, what: "additional", says: "is not named in the manifest" }));
}
