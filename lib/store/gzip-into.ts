import { once } from "node:events";
import type { Writable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { createGzip } from "node:zlib";

/**
 * Pack chunks into a sink, as fast as it takes them. When the sink fails, the source has been told to stop, and has
 * stopped, before this rejects: a source on a database connection must leave that clean for the roll back.
 */
export async function gzipInto(chunks: AsyncIterable<Buffer>, sink: Writable): Promise<void> {
  const gzip = createGzip();
  const written = pipeline(gzip, sink);
  written.catch(() => {});
  try {
    for await (const chunk of chunks) {
      if (gzip.destroyed) await written;
      if (!gzip.write(chunk)) await Promise.race([once(gzip, "drain"), written]);
    }
    gzip.end();
  } catch (error) {
    gzip.destroy(error as Error);
    await written.catch(() => {});
    throw error;
  }
  await written;
}
