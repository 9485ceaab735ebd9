import "server-only";
import { mkdirSync, mkdtempSync, readdirSync, rmSync, statSync } from "node:fs";
import path from "node:path";
import { Readable } from "node:stream";
import { authorise } from "../core/permissions.ts";
import { MANIFEST_FILE } from "../report/evidence-manifest.ts";
import { zipFolder } from "../report/zip-folder.ts";
import type { Actor } from "../store/actor.ts";
import { ensureDataFolder } from "../store/data-folder.ts";
import { makeEvidence } from "./make-evidence.ts";

/** A folder this old belongs to a download that a killed process never ended. */
const LEFT_OVER_MS = 86_400_000;

export interface EvidenceArchive {
  fileName: string;
  /** The ZIP as it is packed; ending or cancelling it removes what it was packed from. */
  stream: ReadableStream<Uint8Array>;
}

/**
 * The evidence file of a site as one ZIP to download. It is written whole first, so that its seal is in the audit log
 * before the first byte leaves, and no snapshot of the database stays open for a slow line.
 * @throws AppError as `makeEvidence`
 */
export async function makeEvidenceArchive(actor: Actor, siteId: string, now: number): Promise<EvidenceArchive> {
  authorise(actor, "evidence.make");
  const room = path.join(ensureDataFolder(), "evidence-made");
  mkdirSync(room, { recursive: true });
  removeLeftOvers(room, now);
  const made = mkdtempSync(path.join(room, "file-"));
  const remove = () => rmSync(made, { recursive: true, force: true });
  try {
    const name = archiveName(siteId, now);
    const folder = path.join(made, name);
    const { contents } = await makeEvidence(actor, siteId, { out: folder, madeAt: now });
    const zip = zipFolder(folder, [MANIFEST_FILE, ...contents.parts.map((p) => p.file)], name);
    zip.once("close", remove);
    return { fileName: `${name}.zip`, stream: Readable.toWeb(zip) as ReadableStream<Uint8Array> };
  } catch (error) {
    remove();
    throw error;
  }
}

/** A site's id may hold anything; a file's name may not. */
export function archiveName(siteId: string, now: number): string {
  const plain = siteId.replace(/[^A-Za-z0-9_-]+/g, "_").slice(0, 60) || "site";
  return `evidence-${plain}-${new Date(now).toISOString().slice(0, 19).replace(/[-:]/g, "")}Z`;
}

function removeLeftOvers(room: string, now: number): void {
  for (const name of readdirSync(room)) {
    const at = path.join(room, name);
    const stat = statSync(at, { throwIfNoEntry: false });
    if (stat && now - stat.mtimeMs > LEFT_OVER_MS) rmSync(at, { recursive: true, force: true });
  }
}
