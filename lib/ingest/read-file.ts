import { createReadStream } from "node:fs";
import { open, stat } from "node:fs/promises";
import { Transform } from "node:stream";
import { createGunzip } from "node:zlib";
import { type CsvRecord, CsvSplitter } from "../contract/csv-records.ts";
import { AppError } from "../core/app-error.ts";

export interface SourceFile {
  path: string;
  /** Size on disk, bytes. */
  bytes: number;
}

export async function sourceFile(path: string): Promise<SourceFile> {
  return { path, bytes: (await stat(path)).size };
}

async function isGzip(path: string): Promise<boolean> {
  const handle = await open(path);
  try {
    const { buffer, bytesRead } = await handle.read(Buffer.alloc(2), 0, 2, 0);
    return bytesRead === 2 && buffer[0] === 0x1f && buffer[1] === 0x8b;
  } finally {
    await handle.close();
  }
}

/**
 * Records of a CSV file in batches, plain or gzip (told by its content). Memory stays flat: the file is read only as
 * fast as batches are taken.
 * @param onBytes bytes of the file read so far, before unpacking
 * @throws AppError `file_unreadable` when it is not readable or its gzip is damaged
 */
export async function* csvBatches(
  file: SourceFile,
  onBytes: (read: number) => void = () => {},
  { delimiter = ",", encoding = "utf-8" }: { delimiter?: string; encoding?: string } = {},
): AsyncGenerator<CsvRecord[]> {
  const decoder = new TextDecoder(encoding);
  const splitter = new CsvSplitter(delimiter);
  for await (const chunk of chunks(file, onBytes)) {
    const records = splitter.push(decoder.decode(chunk, { stream: true }));
    if (records.length > 0) yield records;
  }
  const rest = [...splitter.push(decoder.decode()), ...splitter.end()];
  if (rest.length > 0) yield rest;
}

/**
 * The first characters of a file, unpacked, and whether they are all of it.
 * @throws AppError `file_unreadable`
 */
export async function textBeginning(
  file: SourceFile,
  mostCharacters: number,
  encoding = "utf-8",
): Promise<{ text: string; whole: boolean }> {
  const decoder = new TextDecoder(encoding);
  let text = "";
  for await (const chunk of chunks(file, () => {})) {
    text += decoder.decode(chunk, { stream: true });
    if (text.length > mostCharacters) return { text: text.slice(0, mostCharacters), whole: false };
  }
  return { text: text + decoder.decode(), whole: true };
}

/** The bytes of a file as they come, unpacked. @throws AppError `file_unreadable` */
export const fileBytes = (file: SourceFile, onBytes: (read: number) => void): AsyncGenerator<Buffer> =>
  chunks(file, onBytes);

async function* chunks(file: SourceFile, onBytes: (read: number) => void): AsyncGenerator<Buffer> {
  let read = 0;
  const counter = new Transform({
    transform(chunk: Buffer, _encoding, done) {
      read += chunk.length;
      onBytes(read);
      done(null, chunk);
    },
  });
  const raw = createReadStream(file.path, { highWaterMark: 128 * 1024 });
  const counted = raw.pipe(counter);
  raw.on("error", (error) => counted.destroy(error));
  const gunzip = (await isGzip(file.path)) ? createGunzip() : null;
  const bytes = gunzip ? counted.pipe(gunzip) : counted;
  if (gunzip) counted.on("error", (error) => gunzip.destroy(error));
  try {
    for await (const chunk of bytes) yield chunk as Buffer;
  } catch (cause) {
    const why = gunzip ? "its gzip data is damaged or cut off" : (cause as Error).message;
    throw new AppError("file_unreadable", { message: `${file.path} cannot be read: ${why}.`, cause });
  } finally {
    raw.destroy();
  }
}
