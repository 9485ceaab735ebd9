import { setTimeout as sleep } from "node:timers/promises";
import type { Outside } from "./polite-client.ts";

/** The real network and clock. */
export const SYSTEM_OUTSIDE: Outside = {
  fetch: (url, init) => fetch(url, init),
  now: () => Date.now(),
  sleep: (ms, signal) => sleep(ms, undefined, { signal }),
  random: () => Math.random(),
  timeout: (ms) => AbortSignal.timeout(ms),
};
