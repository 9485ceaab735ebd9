import "server-only";
import { statfsSync } from "node:fs";
import { Transform } from "node:stream";
import { AppError } from "../core/app-error.ts";

/** Room that an upload must leave on the disk: the database needs some to take it in. */
const LEFT_FREE_BYTES = 1e9;
const DEFAULT_MOST_GB = 20;

/** What files of other kinds begin with; a file's name and declared type prove nothing. */
const OTHERS: readonly (readonly [number[], string])[] = [
  [[0x50, 0x4b, 0x03, 0x04], "a zip archive or a spreadsheet; save each sheet as CSV (UTF-8), or unpack it"],
  [[0xd0, 0xcf, 0x11, 0xe0], "an old spreadsheet or document; save it as CSV (UTF-8)"],
  [[0x25, 0x50, 0x44, 0x46], "a PDF"],
  [[0x89, 0x50, 0x4e, 0x47], "a picture"],
  [[0xff, 0xd8, 0xff], "a picture"],
  [[0x7f, 0x45, 0x4c, 0x46], "a program"],
  [[0x4d, 0x5a, 0x90], "a program"],
  [[0xff, 0xfe], "text in UTF-16; save it as UTF-8"],
  [[0xfe, 0xff], "text in UTF-16; save it as UTF-8"],
  [[0x42, 0x5a, 0x68], "packed with bzip2; unpack it, or pack it with gzip"],
  [[0xfd, 0x37, 0x7a, 0x58], "packed with xz; unpack it, or pack it with gzip"],
  [[0x28, 0xb5, 0x2f, 0xfd], "packed with zstd; unpack it, or pack it with gzip"],
];

/** What a file is that no reader takes, by its first bytes; null: it may be text or gzip. */
export function foreignKind(first: Uint8Array): string | null {
  return OTHERS.find(([bytes]) => bytes.every((byte, i) => first[i] === byte))?.[1] ?? null;
}

/** How much one upload may bring, over all of its files: the set limit, and what the disk has room for. */
export class UploadBudget {
  #left: number;
  readonly #says: string;

  /** @param said the size that the request declares, bytes; null: not declared */
  constructor(folder: string, said: number | null) {
    const mostGb = Number(process.env.RAINTRIP_MOST_UPLOAD_GB || DEFAULT_MOST_GB);
    const { bavail, bsize } = statfsSync(folder);
    const room = bavail * bsize - LEFT_FREE_BYTES;
    this.#left = Math.min(mostGb * 1e9, room);
    this.#says =
      room < mostGb * 1e9
        ? `There is room for ${Math.max(0, room / 1e9).toFixed(1)} GB. Free some space, or send less at once.`
        : `One upload may bring ${mostGb} GB (RAINTRIP_MOST_UPLOAD_GB). Send the files in several uploads, or pack them with gzip.`;
    if (said !== null && said > this.#left) throw this.#tooLarge();
  }

  take(bytes: number): void {
    this.#left -= bytes;
    if (this.#left < 0) throw this.#tooLarge();
  }

  #tooLarge(): AppError {
    return new AppError("too_large", { message: this.#says });
  }
}

/** Passes a file on while it is within the budget and could be a file that is read here. */
export function guardFile(name: string, budget: UploadBudget): Transform {
  let looked = false;
  return new Transform({
    transform(chunk: Buffer, _encoding, done) {
      try {
        budget.take(chunk.length);
        const kind = looked ? null : foreignKind(chunk);
        looked = true;
        if (kind)
          throw new AppError("file_unreadable", {
            message: `${name} is ${kind}. Files are CSV, a published weather format, or one of these packed with gzip.`,
          });
        done(null, chunk);
      } catch (error) {
        done(error as Error);
      }
    },
  });
}
