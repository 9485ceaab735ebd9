import path from "node:path";
import type { Readable } from "node:stream";
import { ZipFile } from "yazl";

/** Pictures and PDFs are packed already. */
const PACKED = /\.(jpg|png|webp|pdf)$/;

/**
 * Plain files of a folder as one ZIP, as it is read: each is opened when its turn comes, so memory stays flat.
 * @param names files in the folder, in order
 * @param under folder that they lie in inside the ZIP
 */
export function zipFolder(folder: string, names: readonly string[], under: string): Readable {
  const zip = new ZipFile();
  for (const name of names) zip.addFile(path.join(folder, name), `${under}/${name}`, { compress: !PACKED.test(name) });
  zip.end();
  const out = zip.outputStream as Readable;
  zip.on("error", (error) => out.destroy(error as Error));
  return out;
}
