import type { Actor } from "./actor.ts";
import { isSharing, scopeOf } from "./shared-read.ts";

interface Kept {
  version: string;
  value: Promise<unknown>;
}

const holder = globalThis as { raintripKept?: Map<string, Kept> };
const MOST_KEPT = 20;

/**
 * An answer that takes long to work out, kept by the web server as long as what it rests on is the same, for those who see the
 * same rows. Commands, workers and tests always read anew, as with `sharedRead`.
 * @param what names the answer within a scope; the newest version of it is kept
 * @param version another one whenever the answer could be another one
 */
export async function keptRead<T>(actor: Actor, what: string, version: string, read: () => Promise<T>): Promise<T> {
  if (!isSharing()) return read();
  holder.raintripKept ??= new Map();
  const kept = holder.raintripKept;
  const key = `${what} ${scopeOf(actor)}`;
  const found = kept.get(key);
  if (found?.version === version) return found.value as Promise<T>;
  const mine: Kept = { version, value: read() };
  kept.delete(key);
  kept.set(key, mine);
  for (const [old] of kept) {
    if (kept.size <= MOST_KEPT) break;
    kept.delete(old);
  }
  mine.value.catch(() => {
    if (kept.get(key) === mine) kept.delete(key);
  });
  return mine.value as Promise<T>;
}
