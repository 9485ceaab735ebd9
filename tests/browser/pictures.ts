// Makes the README's pictures from the demo, so that they never lie: npm run pictures
// Serves the demo from a data folder of its own; RAINTRIP_URL names an installation that runs already.
import { writeFileSync } from "node:fs";
import { chromium } from "@playwright/test";
import sharp from "sharp";
import { findBrowser } from "../support/find-browser.mjs";
import { demoServer } from "./demo-server.ts";
import { settled } from "./screens.ts";

const PICTURES = [
  ["ranked-sites", "/sites", null],
  // Planted in the demo: its faults follow the rain.
  ["rain-and-faults", "/sites/S063", "[data-chart-frame=timeline]"],
] as const;

const server = await demoServer();
const browser = await chromium.launch({
  executablePath: findBrowser() ?? "chromium",
  args: ["--no-sandbox", "--disable-background-networking"],
});
try {
  for (const colorScheme of ["light", "dark"] as const) {
    const context = await browser.newContext({
      ...{ viewport: { width: 1440, height: 1100 }, colorScheme, storageState: server.session },
    });
    const page = await context.newPage();
    for (const [file, at, part] of PICTURES) {
      await page.goto(server.url + at);
      await settled(page);
      // A palette of 128 colours is enough for a page and takes a third of the room.
      const picture = await sharp(await (part ? page.locator(part) : page).screenshot())
        .png({ palette: true, colours: 128 })
        .toBuffer();
      writeFileSync(`app/_pictures/${file}-${colorScheme}.png`, picture);
      console.log(`app/_pictures/${file}-${colorScheme}.png, ${Math.round(picture.length / 1024)} kB`);
    }
    await context.close();
  }
} finally {
  await browser.close();
  await server.stop();
}
