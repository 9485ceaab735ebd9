import { readdirSync } from "node:fs";
import path from "node:path";
import type { APIRequestContext, Page } from "@playwright/test";
import type { QueueDocument } from "../../lib/reads/documents.ts";
import { settledAsking } from "./open.ts";

const APP = path.resolve(import.meta.dirname, "../../app");

export interface Screen {
  /** Name of its file. */
  name: string;
  at: string;
  /** What is done before it is looked at. */
  act?: (page: Page) => Promise<void>;
}

const opened = async (page: Page) => {
  for (const fold of await page.locator("main button.only-phone[aria-expanded=false]:visible").all())
    await fold.click({ timeout: 2_000 }).catch(() => {});
  for (const rows of await page.locator("main .only-phone > button[aria-expanded=false]:visible").all())
    await rows.click({ timeout: 2_000 }).catch(() => {});
  for (const summary of await page.locator("main details:not([open]) > summary").all())
    await summary.click({ timeout: 2_000 }).catch(() => {});
};

/**
 * Every page of the demo with what its address needs, from the files of the app, so that a new one is not forgotten; and the
 * states of the main ones that an address alone does not show.
 */
export async function screensOf(url: string, request: APIRequestContext): Promise<Screen[]> {
  const get = async <T>(at: string) => (await (await request.get(url + at)).json()) as T;
  const queue = await get<QueueDocument>("/api/v1/queue");
  const [visit] = queue.visits;
  const urgent = queue.visits.find((v) => v.urgency === "urgent") ?? visit;
  const exposure = await get<{ books: { book: string | null }[] }>("/api/v1/exposure");
  const html = await (await request.get(`${url}/plan`)).text();
  const imports = await (await request.get(`${url}/imports`)).text();
  const ids: Record<string, string | undefined> = {
    siteId: visit?.site_id,
    visitId: visit?.visit_id,
    book: exposure.books[0]?.book ?? undefined,
    planId: /\/plan\/(?!earned|going-out|travel-times)([\w-]+)"/.exec(html)?.[1],
    importId: /\/imports\/([\w-]+)"/.exec(imports)?.[1],
  };
  const pages = readdirSync(APP, { recursive: true, encoding: "utf8" })
    .filter((file) => path.basename(file) === "page.tsx")
    .flatMap((file): Screen[] => {
      const parts = path
        .dirname(file)
        .split(path.sep)
        .filter((part) => part !== "." && !/^\(.*\)$/.test(part));
      const filled = parts.map((part) => (part.startsWith("[") ? ids[part.slice(1, -1)] : part));
      // A link to share is a secret that nobody made, and the styleguide is not there in a built server.
      if (filled.includes(undefined) || parts.length === 0 || parts[0] === "styleguide") return [];
      const name = parts.join("-").replaceAll(/[[\]]/g, "");
      return [{ name, at: `/${filled.map((part) => encodeURIComponent(part as string)).join("/")}` }];
    });
  return [
    ...pages.sort((a, b) => a.name.localeCompare(b.name)),
    { name: "sites-none-match", at: "/sites?search=nothing-is-called-this" },
    { name: "sites-make-safe", at: "/sites?urgency=make_safe" },
    { name: "site-urgent-all-open", at: `/sites/${urgent?.site_id}`, act: opened },
    { name: "site-watch", at: `/sites/${queue.watch[0]?.site_id}` },
    { name: "site-wrong-clock", at: "/sites/S058" },
    { name: "exposure-all-open", at: "/exposure", act: opened },
    { name: "no-such-site", at: "/sites/NOPE" },
    { name: "no-such-page", at: "/nowhere" },
  ];
}

/** What hangs out at the right of the screen, px. */
export const overhang = (page: Page) =>
  page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);

/** Waits until nothing is being read any more and each chart has drawn. */
export async function settled(page: Page): Promise<void> {
  await settledAsking(page);
  // On a phone a chart is drawn when it comes near the screen.
  for (const chart of await page.locator("[data-chart]:visible").all())
    await chart.scrollIntoViewIfNeeded().catch(() => {});
  await page.evaluate(() => scrollTo(0, 0));
  await page
    .waitForFunction(
      () =>
        document.querySelectorAll("main [role=status] .skeleton").length === 0 &&
        [...document.querySelectorAll("[data-chart]")].every(
          (c) => !c.checkVisibility() || c.hasAttribute("data-painted"),
        ),
      null,
      { timeout: 20_000 },
    )
    .catch(() => {});
  await page.evaluate(() => document.fonts.ready);
}
