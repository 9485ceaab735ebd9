import type { Actor } from "./actor.ts";
import { writeTransaction } from "./transaction.ts";

/** Looking at the same thing again within this is one look: pages refresh by themselves. */
const ONE_LOOK_MS = 10 * 60_000;
const MOST_KEPT = 20_000;

const holder = globalThis as { raintripSeen?: Map<string, number> };

/**
 * Enter in the audit log that somebody saw something that says more than it should to everybody: who lives at a site, who
 * does what, what was measured where. One entry for a person, a thing and ten minutes.
 * @param action `noun.view` or `noun.export`
 */
export async function noteSeen(actor: Actor, action: string, subject: string, now = Date.now()): Promise<void> {
  holder.raintripSeen ??= new Map();
  const seen = holder.raintripSeen;
  const key = JSON.stringify([actor.accountId, actor.person, action, subject]);
  if (now - (seen.get(key) ?? Number.NEGATIVE_INFINITY) < ONE_LOOK_MS) return;
  await writeTransaction(actor, async () => ({ result: null, note: { action, subject } }));
  seen.delete(key);
  seen.set(key, now);
  for (const [old] of seen) {
    if (seen.size <= MOST_KEPT) break;
    seen.delete(old);
  }
}
