import type { AsyncLocalStorage } from "node:async_hooks";

const holder = globalThis as { raintripPlace?: AsyncLocalStorage<() => void> };

/**
 * Whoever waits for other work than their own gives the place among the requests that are answered at once to the next. The
 * answer goes on without one. Outside the web server there are no places.
 */
export function giveWay(): void {
  holder.raintripPlace?.getStore()?.();
}
