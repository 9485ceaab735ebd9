import { FeedError } from "./feed-error.ts";
import { fromNetwork } from "./from-network.ts";

/** Media types that a JSON answer may have; anything else is an error page or a stranger's. */
const JSON_TYPE = /^application\/([\w.-]+\+)?json\s*(;|$)/i;

/**
 * The JSON of an answer, read only as far as allowed.
 * @throws FeedError `bad_answer` when it is of another type, too large or not whole; `unreachable` when it breaks off
 */
export async function readJson(response: Response, maxBytes: number): Promise<unknown> {
  const type = response.headers.get("content-type") ?? "";
  if (!JSON_TYPE.test(type)) {
    await dropBody(response);
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

/** Let go of a body that nobody reads; the status has told what there is to know. */
export async function dropBody(response: Response): Promise<void> {
  if (response.body) await letGo(response.body);
}

/** What broke off before it was let go of is no loss. */
async function letGo(body: Pick<ReadableStream, "cancel">): Promise<void> {
  await fromNetwork(body.cancel()).catch((error: unknown) => {
    if (!(error instanceof FeedError)) throw error;
  });
}

async function readText(response: Response, maxBytes: number): Promise<string> {
  const reader = response.body?.getReader();
  if (!reader) return "";
  const parts: Uint8Array[] = [];
  let bytes = 0;
  for (;;) {
    const { done, value } = await fromNetwork(reader.read());
    if (done) break;
    bytes += value.byteLength;
    if (bytes > maxBytes) {
      await letGo(reader);
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
