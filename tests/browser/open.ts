import type { Page } from "@playwright/test";

/** A page that asks every second is never idle on a busy machine. */
const IDLE_MS = 10_000;

/**
 * Go to a page and wait until it listens: its scripts have run over everything that it shows, so that a key, a click or a file
 * is not lost.
 */
export async function open(page: Page, address: string): Promise<void> {
  await page.goto(address);
  await page.waitForFunction(() => {
    const has = (node: Node | null, prefix: string) =>
      node !== null && Object.keys(node).some((key) => key.startsWith(prefix));
    const heading = document.querySelector("main h1");
    return (
      has(document, "_reactListening") &&
      has(heading, "__reactFiber$") &&
      document.querySelector("template[id^='B:'], main > .skeleton, main [role=status] .skeleton") === null
    );
  });
  // What a page sets up once it is there, it does by the next frame.
  await page.evaluate(() => new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve))));
}

/** The same, and what it asks for by itself has come. */
export async function openWhole(page: Page, address: string): Promise<void> {
  await open(page, address);
  await settledAsking(page);
}

/** Nothing is being asked, or a page that never stops has been given its time. */
export const settledAsking = (page: Page): Promise<void> =>
  page.waitForLoadState("networkidle", { timeout: IDLE_MS }).catch(() => {});
