import "server-only";
import { Readable } from "node:stream";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { noteSeen } from "../store/seen.ts";
import { setAsideLines } from "../writes/import-drop.ts";
import { readImport } from "./imports.ts";

/**
 * The rows an import set aside as one CSV that can be corrected and imported again, streamed.
 * @throws AppError `not_found`
 */
export async function setAsideDownload(actor: Actor, importId: string): Promise<Response> {
  authorise(actor, "imports.read");
  const view = await readImport(actor, importId);
  if (!view) throw new AppError("not_found", { message: `There is no import ${importId}.` });
  await noteSeen(actor, "set_aside.export", importId);
  const body = Readable.toWeb(Readable.from(bytesOf(setAsideLines(actor, importId)))) as ReadableStream;
  return new Response(body, {
    headers: {
      "content-type": "text/csv; charset=utf-8",
      "content-disposition": `attachment; filename="set-aside-${importId.replace(/[^\w-]/g, "")}.csv"`,
      "cache-control": "no-store",
    },
  });
}

/** A body of a response is bytes. */
export async function* bytesOf(texts: AsyncIterable<string>): AsyncGenerator<Uint8Array> {
  for await (const text of texts) yield Buffer.from(text);
}
