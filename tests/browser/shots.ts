// Pictures of every page and main state into test-results/shots, and what is wrong on them:
// npm run shots [-- desk|phone|zoom200|print|grey|colour-blind] [part of a name]
// Serves the demo from a data folder of its own; RAINTRIP_URL names an installation that runs already.
import { mkdirSync } from "node:fs";
import path from "node:path";
import AxeBuilder from "@axe-core/playwright";
import { type CDPSession, chromium, type Page } from "@playwright/test";
import { findBrowser } from "../support/find-browser.mjs";
import { demoServer } from "./demo-server.ts";
import { overhang, screensOf, settled } from "./screens.ts";

const OUT = path.resolve(import.meta.dirname, "../../test-results/shots");
const SIZES = [
  { name: "desk", width: 1440, height: 900, zoom: 1, schemes: ["light", "dark"] },
  { name: "phone", width: 390, height: 844, zoom: 1, schemes: ["light", "dark"] },
  // 200 % on a desk: half as many pixels of the page, each twice as large (WCAG 2.2, 1.4.4 and 1.4.10).
  { name: "zoom200", width: 720, height: 450, zoom: 2, schemes: ["light"] },
  // From the dark scheme: nothing of it may come through.
  { name: "print", width: 1440, height: 900, zoom: 1, schemes: ["dark"] },
  { name: "grey", width: 1440, height: 900, zoom: 1, schemes: ["light"] },
  { name: "colour-blind", width: 1440, height: 900, zoom: 1, schemes: ["light"] },
] as const;
type Size = (typeof SIZES)[number]["name"];
/** What is looked at where nothing is named. */
const USUAL: Size[] = ["desk", "phone", "zoom200", "print"];

const asked = process.argv.slice(2);
const named = SIZES.filter((size) => asked.includes(size.name));
const sizes = named.length > 0 ? named : SIZES.filter((size) => USUAL.includes(size.name));
const wanted = asked.find((word) => !SIZES.some((size) => size.name === word)) ?? "";
const server = await demoServer();
const browser = await chromium.launch({
  executablePath: findBrowser() ?? "chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
});
const troubles = new Set<string>();
/** Said at once and again at the end: a run that is cut short has told what it saw. */
function tell(trouble: string): void {
  if (!troubles.has(trouble)) console.log(`  ${trouble}`);
  troubles.add(trouble);
}
/** A sheet within margins of 12 mm, CSS px. */
const A4 = { width: 703, height: 1032 };

const sessions = new WeakMap<Page, CDPSession>();

/** The page as paper has it, without colour, or as deuteranopia sees it; "desk" takes that off again. */
async function lookAs(page: Page, name: Size): Promise<void> {
  await page.emulateMedia({ media: name === "print" ? "print" : "screen" });
  if (name === "print") await page.setViewportSize(A4);
  // Kept with its page: what a session emulates, and what the page does, ends with the session.
  const session = sessions.get(page) ?? (await page.context().newCDPSession(page));
  sessions.set(page, session);
  const type = name === "grey" ? "achromatopsia" : name === "colour-blind" ? "deuteranopia" : "none";
  await session.send("Emulation.setEmulatedVisionDeficiency", { type });
}
let count = 0;
try {
  mkdirSync(OUT, { recursive: true });
  const setUp = await browser.newContext({ storageState: server.session });
  const screens = (await screensOf(server.url, setUp.request)).filter((s) => s.name.includes(wanted));
  await setUp.close();
  for (const size of sizes)
    for (const colorScheme of size.schemes) {
      const context = await browser.newContext({
        viewport: { width: size.width, height: size.height },
        deviceScaleFactor: size.zoom,
        ...{ colorScheme, reducedMotion: "reduce", storageState: server.session },
      });
      const page = await context.newPage();
      for (const screen of screens) {
        const where = `${screen.name} ${size.name} ${colorScheme}`;
        const hear = (text: string) => {
          if (!text.includes("status of 404")) tell(`${where}: ${text}`);
        };
        page.removeAllListeners("console");
        page.removeAllListeners("pageerror");
        page.on("console", (m) => m.type() === "error" && hear(m.text()));
        page.on("pageerror", (e) => hear(e.message));
        await (screen.name === "sign-in" ? context.clearCookies() : Promise.resolve());
        await page.goto(server.url + screen.at);
        await screen.act?.(page);
        await settled(page);
        const wide = await overhang(page);
        if (wide > 0) tell(`${where}: wider than the screen by ${wide} px`);
        await lookAs(page, size.name);
        if (size.name === "desk" || size.name === "phone") {
          const { violations } = await new AxeBuilder({ page }).analyze();
          for (const v of violations.filter((v) => v.impact === "serious" || v.impact === "critical"))
            tell(`${where}: ${v.id}, ${v.nodes.length} times: ${v.nodes[0]?.html.slice(0, 140)}`);
        }
        await page.screenshot({
          path: path.join(OUT, `${screen.name}--${size.name}-${colorScheme}.png`),
          fullPage: true,
        });
        await lookAs(page, "desk");
        await page.setViewportSize({ width: size.width, height: size.height });
        if (screen.name === "sign-in") await context.addCookies(server.session.cookies);
        count++;
      }
      await context.close();
    }
} finally {
  await browser.close();
  await server.stop();
}
console.log(`${count} pictures in test-results/shots`);
for (const trouble of troubles) console.log(`  ${trouble}`);
console.log(troubles.size === 0 ? "nothing wrong was found" : `${troubles.size} things to look at`);
process.exitCode = troubles.size === 0 ? 0 : 1;
