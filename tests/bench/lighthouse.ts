// Lighthouse on the pages that people live in, signed in: npm run bench -- lighthouse [--phone] [part of a name]
// Scores of 0 to 100; the median of three runs, because a run on a busy machine says little. With --phone as its slow phone
// (a fourth of the processor, 1.6 Mbit/s), else as its desk. RAINTRIP_URL names an installation that runs already.

import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { chromium } from "@playwright/test";
import lighthouse, { desktopConfig } from "lighthouse";
import { demoServer } from "../browser/demo-server.ts";
import { screensOf } from "../browser/screens.ts";
import { findBrowser } from "../support/find-browser.mjs";
import { freePort } from "../support/free-port.mjs";

const RUNS = 3;
const AIM = 95;
const CATEGORIES = ["performance", "accessibility", "best-practices"] as const;
const PAGES = [
  ["Ranked sites", "sites"],
  ["Site", "sites-siteId"],
  ["Visit", "visits-visitId"],
] as const;

const asked = process.argv.slice(2);
const phone = asked.includes("--phone");
const part = asked.find((a) => !a.startsWith("--"))?.toLowerCase() ?? "";
const out = path.resolve(import.meta.dirname, "../../test-results/lighthouse");
mkdirSync(out, { recursive: true });

const port = await freePort();
const profile = mkdtempSync(path.join(os.tmpdir(), "raintrip-lighthouse-"));
const server = await demoServer();
const context = await chromium.launchPersistentContext(profile, {
  executablePath: findBrowser() ?? "chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking", `--remote-debugging-port=${port}`],
});
const median = (values: number[]) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0;
let short = 0;
try {
  await context.addCookies(server.session.cookies);
  const screens = await screensOf(server.url, context.request);
  console.log(`${phone ? "phone" : "desk"}: ${CATEGORIES.join(", ")}; median of ${RUNS}`);
  for (const [title, name] of PAGES.filter(([t]) => t.toLowerCase().includes(part))) {
    const at = screens.find((s) => s.name === name)?.at;
    if (!at) throw new Error(`there is no page ${name} in the demo`);
    const scores: Record<string, number[]> = {};
    const costs = new Map<string, string>();
    for (let run = 0; run < RUNS; run++) {
      const done = await lighthouse(
        server.url + at,
        { port, output: "json", logLevel: "error", disableStorageReset: true, onlyCategories: [...CATEGORIES] },
        phone ? undefined : desktopConfig,
      );
      if (!done) throw new Error(`no answer for ${at}`);
      if (!done.lhr.finalDisplayedUrl.includes(at.split("?")[0] as string))
        throw new Error(`${at} led to ${done.lhr.finalDisplayedUrl}: nobody is signed in`);
      for (const id of CATEGORIES) {
        scores[id] = [...(scores[id] ?? []), Math.round(100 * (done.lhr.categories[id]?.score ?? 0))];
        for (const ref of done.lhr.categories[id]?.auditRefs ?? []) {
          const audit = done.lhr.audits[ref.id];
          if (ref.weight > 0 && audit && audit.score !== null && audit.score < 0.9)
            costs.set(ref.id, `${audit.title} ${audit.displayValue ?? ""}`.trim());
        }
      }
      writeFileSync(path.join(out, `${name}-${phone ? "phone" : "desk"}.json`), String(done.report));
    }
    const medians = CATEGORIES.map((id) => median(scores[id] ?? []));
    if (medians.some((m) => m < AIM)) short++;
    console.log(`${title.padEnd(14)} ${medians.map((m) => String(m).padStart(3)).join("  ")}`);
    for (const [id, says] of costs) console.log(`    ${id}: ${says}`);
  }
} finally {
  await context.close();
  await server.stop();
  rmSync(profile, { recursive: true, force: true });
}
console.log(short === 0 ? `all at ${AIM} or more` : `${short} below ${AIM}; whole reports in test-results/lighthouse`);
