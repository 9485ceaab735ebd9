import { FeedError } from "./feed-error.ts";

/** What a service may read as a step up; steps that are plain are gone from a parsed address. */
const STEP_UP = /\.\.|%2e|%2f|%5c/i;

/**
 * Where a redirect leads.
 * @param location as the answer gives it; null: it gives none
 * @param from the address that was asked
 * @param base origin and path to stay under, without a slash at its end
 * @throws FeedError `refused` when it leads elsewhere, names nothing or carries a name or password
 */
export function redirectTarget(location: string | null, from: URL, base: string): URL {
  const to = location !== null && URL.canParse(location, from.href) ? new URL(location, from) : null;
  const bare = to !== null && to.username === "" && to.password === "";
  if (!bare || !to.href.startsWith(`${base}/`) || STEP_UP.test(to.pathname))
    throw new FeedError("refused", "the answer leads away from the configured address, which is not followed");
  return to;
}
