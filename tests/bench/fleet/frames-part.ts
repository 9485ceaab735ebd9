import { gzipSync } from "node:zlib";
import { chromium, type Page } from "@playwright/test";
import { Serving } from "../../long/serving.ts";
import { findBrowser } from "../../support/find-browser.mjs";
import { coreSecondsOf, type Figure, median, quantile } from "../measure.ts";
import { dataOf, type MadeFleet } from "./made-fleet.ts";

/** Rows that are scrolled through. */
const ROWS = 2000;
const PX_A_FRAME = 40;
const EMPTY_FRAMES = 600;

/** What a page did while it was scrolled: ms from frame to frame, tasks over 50 ms, elements at the end. */
interface Scrolled {
  frames: number[];
  longTasks: number[];
  elements: number;
  rows: number;
}

/**
 * Frames of a real browser while the list is scrolled, a page of it after the other, against those of a page with nothing on it
 * in the same run. Without a screen the browser draws 60 frames a second at most, as on one.
 */
export async function framesFigures(fleet: MadeFleet): Promise<Figure[]> {
  const serving = new Serving({}, dataOf(fleet), ["--no-worker"]);
  await serving.start();
  const browser = await chromium.launch({ executablePath: findBrowser() ?? "chromium", args: ["--no-sandbox"] });
  try {
    const [name = "", ...value] = (await serving.session()).split("=");
    const context = await browser.newContext({ viewport: { width: 1440, height: 900 } });
    await context.addCookies([{ name, value: value.join("="), url: serving.url }]);
    // The loader of TypeScript names functions by a helper that is not in the browser.
    await context.addInitScript({ content: "globalThis.__name = (made) => made;" });
    const page = await context.newPage();
    await page.goto(`${serving.url}/access/tokens`, { waitUntil: "networkidle" });
    const empty = await scrolled(page, 0);
    const before = await serving.webMemory();
    await page.goto(`${serving.url}/sites`, { waitUntil: "load" });
    await page.waitForFunction(() => document.querySelectorAll("tr[data-row]").length > 12);
    const list = await scrolled(page, Math.min(ROWS, fleet.options.sites));
    const mb = (bytes: number) => Math.round(bytes / 1e6);
    const memory = `web server ${mb(before)} MB before, ${mb(await serving.webMemory())} after`;
    return [
      figureOf("frames of a page with nothing on it", empty),
      {
        ...figureOf(`frames while ${list.rows} rows are scrolled`, list),
        ...{ against: "frames of a page with nothing on it", aim: "16.7 ms (p95)" },
        says: `${saysOf(list)}; ${list.elements} elements at the end; ${memory}`,
      },
    ];
  } finally {
    await browser.close();
    await serving.stop();
  }
}

const saysOf = ({ frames, longTasks }: Scrolled) =>
  `median ${median(frames).toFixed(1)}, p95 ${quantile(frames, 0.95).toFixed(1)}, p99 ${quantile(frames, 0.99).toFixed(1)} ms of ${frames.length} frames, ` +
  `${longTasks.length} tasks over 50 ms${longTasks.length > 0 ? ` (longest ${Math.max(...longTasks).toFixed(0)})` : ""}`;

const figureOf = (name: string, done: Scrolled): Figure => ({
  ...{ name, repeats: done.frames.map((ms) => ({ seconds: ms / 1000, core: 0 })), says: saysOf(done) },
});

/** Scroll down, page of the list by page, until so many rows went by; 0: only look at frames. */
const scrolled = (page: Page, wanted: number): Promise<Scrolled> =>
  page.evaluate(
    async ({ wanted, step, emptyFrames }) => {
      const frames: number[] = [];
      const longTasks: number[] = [];
      new PerformanceObserver((seen) => longTasks.push(...seen.getEntries().map((e) => e.duration))).observe({
        type: "longtask",
      });
      const frame = () => new Promise<number>((resolve) => requestAnimationFrame(resolve));
      const first = () => document.querySelector("tr[data-row]")?.getAttribute("data-row");
      let at = await frame();
      const next = async () => {
        const now = await frame();
        frames.push(now - at);
        at = now;
      };
      let rows = 0;
      if (wanted === 0) for (let i = 0; i < emptyFrames; i++) await next();
      while (rows < wanted) {
        window.scrollTo(0, 0);
        const end = document.documentElement.scrollHeight - window.innerHeight;
        for (let before = -1; window.scrollY < end - 1 && window.scrollY > before; ) {
          before = window.scrollY;
          window.scrollBy(0, step);
          await next();
        }
        rows += document.querySelectorAll("tr[data-row]").length;
        if (rows >= wanted) break;
        const shown = first();
        const later = [...document.querySelectorAll<HTMLButtonElement>("nav.pages button")].at(-1);
        if (!later || later.disabled) break;
        later.click();
        for (const from = at; first() === shown; ) {
          await next();
          if (at - from > 30_000) throw new Error(`page ${rows} rows on: ${location.href} shows no other rows`);
        }
      }
      return { frames, longTasks, rows, elements: document.querySelectorAll("*").length };
    },
    { wanted, step: PX_A_FRAME, emptyFrames: EMPTY_FRAMES },
  );

/** The map of the whole list: what its answer costs, and how many marks a browser is given. */
export async function mapFigures(fleet: MadeFleet): Promise<Figure[]> {
  const serving = new Serving({}, dataOf(fleet), ["--no-worker"]);
  await serving.start();
  try {
    const core = () => coreSecondsOf(serving.pid) + coreSecondsOf(fleet.server);
    const ask = async () => (await serving.fetch("/api/pages/sites/map")).text();
    for (let i = 0; i < 3; i++) await ask();
    const repeats = [];
    let text = "";
    for (let i = 0; i < 20; i++) {
      const [at, used] = [performance.now(), core()];
      text = await ask();
      repeats.push({ seconds: (performance.now() - at) / 1000, core: core() - used });
    }
    const { map } = JSON.parse(text) as { map: { total: number; marks: unknown[] } };
    const kb = (n: number) => `${(n / 1000).toFixed(0)} kB`;
    return [
      {
        ...{ name: "map of the whole list", repeats },
        says: `${map.total} sites as ${map.marks.length} marks; ${kb(text.length)} plain, ${kb(gzipSync(text).length)} gzip`,
      },
    ];
  } finally {
    await serving.stop();
  }
}
