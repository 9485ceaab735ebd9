// Makes the README's picture from the demo, so that it never lies: npm run pictures
// Needs a running installation that loaded the demo; RAINTRIP_URL names it, default http://localhost:4710.
import { chromium } from "@playwright/test";
import { findBrowser } from "../support/find-browser.mjs";

const url = process.env.RAINTRIP_URL ?? "http://localhost:4710";
const browser = await chromium.launch({
  executablePath: findBrowser(),
  args: ["--no-sandbox", "--disable-background-networking"],
});
const page = await browser.newPage({ viewport: { width: 1280, height: 800 }, colorScheme: "light" });
await page.goto(`${url}/sign-in`);
await page.getByRole("button", { name: "Demo administrator" }).click();
await page.waitForURL(`${url}/sites`);
await page.goto(`${url}/sites`, { waitUntil: "networkidle" });
await page.screenshot({ path: "app/_pictures/ranked-sites.png" });
await browser.close();
console.log("app/_pictures/ranked-sites.png");
