import "server-only";
import { createHash } from "node:crypto";
import { createReadStream } from "node:fs";
import path from "node:path";
import { z } from "zod";
import { csvLine, guarded } from "../contract/csv-records.ts";
import type { PartSource } from "../report/write-evidence.ts";
import { dataFolder } from "../store/data-folder.ts";
import type { Sql } from "../store/transaction.ts";

const PhotoRow = z.object({
  photo_id: z.string(),
  visit_id: z.string(),
  item: z.string(),
  sha256: z.string(),
  media_type: z.string(),
  bytes: z.number(),
  taken_at: z.date().nullable(),
  latitude: z.number().nullable(),
  longitude: z.number().nullable(),
});

const ENDINGS: Record<string, string> = {
  "image/jpeg": "jpg",
  "image/png": "png",
  "image/webp": "webp",
  "application/pdf": "pdf",
};
export const endingOf = (mediaType: string): string => ENDINGS[mediaType] ?? "bin";

/** A photo of a visit as it goes into an evidence file. */
export interface EvidencePhoto extends z.infer<typeof PhotoRow> {
  /** Its file in the folder; null: the bytes are not there or not the ones that were sent. */
  file: string | null;
  state: "as_sent" | "missing" | "altered";
}

const stored = (sha256: string) => path.join(dataFolder(), "visit-photos", sha256);

/** Photos of a site's visits, oldest first, each held against the SHA-256 that was taken when it arrived. */
export async function evidencePhotos(tx: Sql, siteId: string): Promise<EvidencePhoto[]> {
  const rows = z.array(PhotoRow).parse([
    ...(await tx`SELECT photo_id::text, visit_id, item, sha256, media_type, bytes, taken_at, latitude, longitude FROM visit_photo
      WHERE account_id = current_account() AND site_id = ${siteId} ORDER BY taken_at NULLS LAST, visit_id, photo_id`),
  ]);
  const photos: EvidencePhoto[] = [];
  for (const [i, row] of rows.entries()) {
    const state = await stateOf(row.sha256);
    const name = `photo-${String(i + 1).padStart(4, "0")}-${row.sha256.slice(0, 8)}.${endingOf(row.media_type)}`;
    photos.push({ ...row, state, file: state === "as_sent" ? name : null });
  }
  return photos;
}

async function stateOf(sha256: string): Promise<EvidencePhoto["state"]> {
  const hash = createHash("sha256");
  try {
    for await (const chunk of createReadStream(stored(sha256))) hash.update(chunk as Buffer);
  } catch {
    return "missing";
  }
  return hash.digest("hex") === sha256 ? "as_sent" : "altered";
}

/** The list of photos, and each that is as it was sent. */
export function photoParts(photos: readonly EvidencePhoto[]): PartSource[] {
  async function* list() {
    yield csvLine([
      "file",
      "state",
      "visit_id",
      "checklist_item",
      "taken_at",
      "latitude",
      "longitude",
      "bytes",
      "sha256",
      "photo_id",
    ]);
    for (const p of photos)
      yield csvLine(
        [
          p.file ?? "",
          p.state,
          p.visit_id,
          p.item,
          p.taken_at?.toISOString() ?? "",
          p.latitude === null ? "" : String(p.latitude),
          p.longitude === null ? "" : String(p.longitude),
          String(p.bytes),
          p.sha256,
          p.photo_id,
        ].map(guarded),
      );
  }
  return [
    { file: "photos.csv", chunks: list, rows: () => photos.length },
    ...photos.flatMap((p) =>
      p.file === null
        ? []
        : [{ file: p.file, chunks: () => createReadStream(stored(p.sha256)) as AsyncIterable<Uint8Array> }],
    ),
  ];
}
