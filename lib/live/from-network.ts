import { FeedError } from "./feed-error.ts";

/**
 * Wait for what only the network can make fail: an answer, or more of its body. By the fetch standard a failure of the
 * network is a TypeError and a stop an AbortError or TimeoutError; anything else is a fault of ours and goes on up. Only
 * the bare network call belongs in here, for a TypeError of our own code looks the same.
 * @throws FeedError `unreachable`
 */
export async function fromNetwork<T>(asked: Promise<T>): Promise<T> {
  try {
    return await asked;
  } catch (error) {
    const name = error instanceof Error ? error.name : "";
    if (name === "TimeoutError") throw new FeedError("unreachable", "it did not answer in time");
    if (error instanceof TypeError || name === "AbortError")
      throw new FeedError("unreachable", "the connection failed");
    throw error;
  }
}
