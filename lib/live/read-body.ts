import { FeedError } from "./feed-error.ts";

/** Media types that a JSON answer may have; anything else is an error page or a stranger's. */
const JSON_TYPE = /^application\/([\w.-]+\+)?json\s*(;|$)/i;

/**
 * The JSON of an answer, read only as far as allowed.
 * @throws FeedError `bad_answer` when it is of another type, too large or not whole
 */
export async function readJson(response: Response, maxBytes: number): Promise<unknown> {
  const type = response.headers.get("content-type") ?? "";
  if (!JSON_TYPE.test(type)) {
    await response.body?.cancel();
    throw new FeedError(
      "bad_answer",
      `the answer is ${type === "" ? "of no stated type" : type.slice(0, 60)}, not JSON`,
    );
  }
  const text = await readText(response, maxBytes);
  try {
    return JSON.parse(text);
  } catch {
    throw new FeedError("bad_answer", "the answer is not whole JSON");
  }
}

async function readText(response: Response, maxBytes: number): Promise<string> {
  const reader = response.body?.getReader();
  if (!reader) return "";
  const parts: Uint8Array[] = [];
  let bytes = 0;
  for (;;) {
    const { done, value } = await reader.read();
    if (done) break;
    bytes += value.byteLength;
    if (bytes > maxBytes) {
      await reader.cancel();
      throw new OversizedAnswer(maxBytes);
    }
    parts.push(value);
  }
  return new TextDecoder().decode(Buffer.concat(parts));
}

/** Asking again would only fetch it again. */
export class OversizedAnswer extends FeedError {
  constructor(maxBytes: number) {
    super("bad_answer", `the answer is larger than ${maxBytes.toLocaleString("en-US")} bytes`);
  }
}
