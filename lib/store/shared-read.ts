import type { Actor } from "./actor.ts";

/** How long an answer is shared, ms; only the web server says so, so that commands, workers and tests always read anew. */
const holder = globalThis as { raintripShareMs?: number; raintripShared?: Map<string, Kept> };
const MOST_KEPT = 500;

interface Kept {
  until: number;
  value: Promise<unknown>;
}

/** Everything that row security looks at: an answer is never given to whom other rows are shown. */
export const scopeOf = ({ accountId, role, portfolios, crewId, siteId }: Actor) =>
  JSON.stringify([accountId, role, portfolios, crewId ?? null, siteId ?? null]);

/** Whether answers may be given to more than who asked. */
export const isSharing = (): boolean => (holder.raintripShareMs ?? 0) > 0;

/**
 * A count that every page asks for, shared for a second between those who see the same rows. For what is harmless when it is a second
 * old; never for an emergency, and never for what somebody has just written.
 * @param what names the count within a scope
 * @param keep whether this answer may be given to others too; without it each may
 */
export async function sharedRead<T>(
  actor: Actor,
  what: string,
  read: () => Promise<T>,
  keep: (value: T) => boolean = () => true,
  now = performance.now(),
): Promise<T> {
  const shareMs = holder.raintripShareMs ?? 0;
  if (shareMs <= 0) return read();
  holder.raintripShared ??= new Map();
  const kept = holder.raintripShared;
  const key = `${what} ${scopeOf(actor)}`;
  const found = kept.get(key);
  if (found && found.until > now) return found.value as Promise<T>;
  const value = read();
  const mine: Kept = { until: now + shareMs, value };
  kept.delete(key);
  kept.set(key, mine);
  for (const [old] of kept) {
    if (kept.size <= MOST_KEPT) break;
    kept.delete(old);
  }
  const forget = () => {
    if (kept.get(key) === mine) kept.delete(key);
  };
  value.then((got) => keep(got) || forget(), forget);
  return value;
}
