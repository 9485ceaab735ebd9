import type { Readable, Writable } from "node:stream";
import { finished } from "node:stream/promises";
import type { Sql } from "./transaction.ts";

/** Settings under which equal rows give equal COPY text on every server. */
export async function settleCopyText(tx: Sql): Promise<void> {
  await tx`SELECT set_config('TimeZone', 'UTC', true), set_config('DateStyle', 'ISO, MDY', true),
    set_config('IntervalStyle', 'postgres', true), set_config('extra_float_digits', '1', true),
    set_config('bytea_output', 'hex', true)`;
}

/**
 * What `COPY (query) TO STDOUT` gives, as fast as it is taken.
 * @throws the server's error, or that the connection was lost
 */
export async function* copyOut(tx: Sql, query: string): AsyncGenerator<Buffer> {
  const source = (await tx.unsafe(`COPY (${query}) TO STDOUT`).readable()) as Readable;
  // The driver pauses its socket on a full stream and lets it go on when the stream is read: never again where the last
  // piece filled it, so the end of the COPY would not be heard.
  // The same where the server ends the COPY with an error: the answer to the roll back has to be heard too.
  for (const over of ["end", "close"]) source.once(over, () => source._read(0));
  try {
    for await (const chunk of source.iterator({ destroyOnReturn: false })) yield chunk as Buffer;
  } finally {
    // Whoever stops early must not leave the rest on the connection, which the roll back has to come through.
    if (!source.readableEnded && !source.destroyed) await finished(source.resume()).catch(() => {});
  }
}

/**
 * Feed `COPY … FROM STDIN`.
 * @throws the server's error, or that the connection was lost; the transaction is then of no more use
 */
export async function copyIn(tx: Sql, statement: string, chunks: AsyncIterable<Buffer>): Promise<void> {
  const query = tx.unsafe(statement);
  const sink = (await query.writable()) as Writable;
  // The driver hands the stream out by resolving the query, so an error after that would be lost and the stream never
  // finish: it still calls the query's own reject, which is taken over here.
  const failed = new Promise<never>((_resolve, reject) => {
    (query as unknown as { reject: (error: Error) => void }).reject = reject;
  });
  failed.catch(() => {});
  sink.on("error", () => {});
  try {
    for await (const chunk of chunks)
      await Promise.race([failed, new Promise((resolve) => sink.write(chunk, resolve))]);
    sink.end();
    await Promise.race([failed, finished(sink)]);
  } catch (error) {
    // Ends the COPY on the server too, so that the transaction can be rolled back.
    if (!sink.writableEnded) sink.destroy(error as Error);
    throw error;
  }
}
