import { createHash } from "node:crypto";
import {
  createWriteStream,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  renameSync,
  rmdirSync,
  rmSync,
} from "node:fs";
import { chmod, writeFile } from "node:fs/promises";
import path from "node:path";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { AppError } from "../core/app-error.ts";
import { type EvidenceContents, type EvidencePart, MANIFEST_FILE, manifestText, sealOf } from "./evidence-manifest.ts";

/** One part to be written: text or bytes as they come, and how many records went by once they are through. */
export interface PartSource {
  file: string;
  chunks: () => AsyncIterable<string | Uint8Array>;
  /** Records given out so far; absent: the part is no list. */
  rows?: () => number;
}

/**
 * An empty folder beside `out` that becomes `out` when everything is in it, so that a run that was cut off leaves no
 * folder that looks whole.
 * @throws AppError `wrong_use` when `out` holds something already, `folder_unusable` when it cannot be made
 */
export async function evidenceFolder<T>(out: string, fill: (folder: string) => Promise<T>): Promise<T> {
  const target = path.resolve(out);
  assertFree(target);
  const folder = unfinished(target);
  try {
    const result = await fill(folder);
    await chmod(folder, 0o755);
    if (existsSync(target)) rmdirSync(target);
    renameSync(folder, target);
    return result;
  } catch (error) {
    rmSync(folder, { recursive: true, force: true });
    throw error;
  }
}

function assertFree(target: string): void {
  let held: string[] | null = null;
  try {
    held = readdirSync(target);
  } catch (error) {
    if ((error as { code?: string }).code === "ENOENT") return;
  }
  if (held?.length !== 0)
    throw new AppError("wrong_use", { message: `${target} is not an empty folder. Name one that is not there yet.` });
}

function unfinished(target: string): string {
  try {
    mkdirSync(path.dirname(target), { recursive: true });
    return mkdtempSync(`${target}.unfinished-`);
  } catch (cause) {
    throw new AppError("folder_unusable", {
      message: `No folder can be made at ${target} (${(cause as Error).message}). Name one in a place that you can write.`,
      cause,
    });
  }
}

/** Write one part as it comes: memory stays flat however long it is. */
export async function writePart(folder: string, part: PartSource): Promise<EvidencePart> {
  const hash = createHash("sha256");
  let bytes = 0;
  async function* counted() {
    for await (const chunk of part.chunks()) {
      const buffer = typeof chunk === "string" ? Buffer.from(chunk) : Buffer.from(chunk);
      hash.update(buffer);
      bytes += buffer.length;
      yield buffer;
    }
  }
  await pipeline(Readable.from(counted()), createWriteStream(path.join(folder, part.file), { flags: "wx" }));
  return { file: part.file, bytes, sha256: hash.digest("hex"), rows: part.rows ? part.rows() : null };
}

/** Write the manifest, last of all. @returns its seal */
export async function writeManifest(folder: string, contents: EvidenceContents): Promise<string> {
  await writeFile(path.join(folder, MANIFEST_FILE), manifestText(contents), { flag: "wx" });
  return sealOf(contents);
}
