import { z } from "zod";

/**
 * A backup, once unpacked: this line, then frames of one letter, four bytes of length (big-endian) and that many bytes.
 * H: header. T: a table begins. R: rows of it, in COPY's text format. F: a photo begins. B: bytes of it. P: what photos
 * there are and lack. M: manifest, the last frame.
 */
export const MAGIC = Buffer.from("RAINTRIP BACKUP 1\n");
export const LONGEST_FRAME = 1024 * 1024;

export const FRAME_KINDS = ["H", "T", "R", "F", "B", "P", "M"] as const;
export type FrameKind = (typeof FRAME_KINDS)[number];
export interface Frame {
  kind: FrameKind;
  payload: Buffer;
}

export const BackupHeader = z.object({
  made_at: z.iso.datetime(),
  migrations: z.array(z.object({ name: z.string(), checksum: z.string() })),
  accounts: z.array(z.number().int()),
  /** First days of the months for which faults are partitioned. */
  fault_months: z.array(z.iso.date()),
});
export type BackupHeader = z.infer<typeof BackupHeader>;

export const TableStart = z.object({ table: z.string(), columns: z.array(z.string()) });
export type TableStart = z.infer<typeof TableStart>;

export const TableSum = z.object({
  table: z.string(),
  rows: z.number().int(),
  bytes: z.number().int(),
  sha256: z.string(),
});
export type TableSum = z.infer<typeof TableSum>;

export const PhotoStart = z.object({ sha256: z.string().regex(/^[0-9a-f]{64}$/), bytes: z.number().int().min(0) });
export type PhotoStart = z.infer<typeof PhotoStart>;

/** A photo on record whose picture is not in the backup. */
export const MissingPhoto = z.object({
  sha256: z.string(),
  site_id: z.string(),
  visit_id: z.string(),
  item: z.string(),
});
export type MissingPhoto = z.infer<typeof MissingPhoto>;

export const BackupPhotos = z.object({
  count: z.number().int(),
  bytes: z.number().int(),
  missing_count: z.number().int(),
  /** The first of them. */
  missing: z.array(MissingPhoto),
});
export type BackupPhotos = z.infer<typeof BackupPhotos>;
export const NO_PHOTOS: BackupPhotos = { count: 0, bytes: 0, missing_count: 0, missing: [] };

export const BackupManifest = z.object({
  tables: z.array(TableSum),
  /** SHA-256 of everything before the manifest, unpacked. */
  sha256: z.string(),
});
export type BackupManifest = z.infer<typeof BackupManifest>;

/** @throws RangeError when the payload is longer than a frame may be */
export function frameBytes(kind: FrameKind, payload: Buffer): Buffer {
  if (payload.length > LONGEST_FRAME) throw new RangeError(`a frame holds at most ${LONGEST_FRAME} bytes`);
  const head = Buffer.alloc(5);
  head.write(kind, 0, "latin1");
  head.writeUInt32BE(payload.length, 1);
  return Buffer.concat([head, payload]);
}

/**
 * Frames of an unpacked backup, as its bytes come; no more than one frame is held.
 * @throws RangeError saying what is wrong with the bytes
 */
export async function* framesOf(bytes: AsyncIterable<Buffer>): AsyncGenerator<Frame> {
  let held: Buffer[] = [];
  let length = 0;
  let want = MAGIC.length;
  let kind: FrameKind | null = null;
  let begun = false;
  for await (const chunk of bytes) {
    held.push(chunk);
    length += chunk.length;
    while (length >= want) {
      const all = held.length === 1 ? (held[0] as Buffer) : Buffer.concat(held);
      const piece = all.subarray(0, want);
      held = [all.subarray(want)];
      length -= want;
      if (!begun) {
        if (!piece.equals(MAGIC)) throw new RangeError("it is no backup of this program");
        begun = true;
        want = 5;
      } else if (kind === null) {
        ({ kind, want } = frameHead(piece));
      } else {
        yield { kind, payload: Buffer.from(piece) };
        kind = null;
        want = 5;
      }
    }
  }
  if (!begun || kind !== null || length > 0) throw new RangeError("it is cut off");
}

function frameHead(piece: Buffer): { kind: FrameKind; want: number } {
  const letter = piece.toString("latin1", 0, 1);
  const kind = FRAME_KINDS.find((k) => k === letter);
  const want = piece.readUInt32BE(1);
  if (!kind || want > LONGEST_FRAME) throw new RangeError("a frame in it is damaged");
  return { kind, want };
}
