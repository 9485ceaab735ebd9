import type { z } from "zod";
import { AppError } from "../core/app-error.ts";

/**
 * A JSON body through a schema.
 * @throws AppError `wrong_use` naming the field and what it should be
 */
export async function parseBody<S extends z.ZodType>(schema: S, request: Request): Promise<z.infer<S>> {
  const body = parsedJson(await limitedText(request));
  const parsed = schema.safeParse(body);
  if (parsed.success) return parsed.data;
  const issue = parsed.error.issues[0];
  throw new AppError("wrong_use", { message: `"${issue?.path.join(".")}": ${issue?.message}.` });
}

/** A visit's batch of 500 edits at their longest is smaller; nothing else comes near. */
const MOST_BYTES = 16_000_000;

async function limitedText(request: Request): Promise<string> {
  const decoder = new TextDecoder("utf-8");
  let text = "";
  let bytes = 0;
  if (request.body)
    for await (const chunk of request.body as unknown as AsyncIterable<Uint8Array>) {
      bytes += chunk.length;
      if (bytes > MOST_BYTES)
        throw new AppError("too_large", {
          message: `The request has more than ${MOST_BYTES / 1e6} MB. Send it in parts.`,
        });
      text += decoder.decode(chunk, { stream: true });
    }
  return text + decoder.decode();
}

function parsedJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    throw new AppError("wrong_use", { message: "The request's body is not JSON." });
  }
}
