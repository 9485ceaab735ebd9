// Makes the README's pictures from the demo, so that they never lie: npm run pictures
// Serves the demo from a data folder of its own; RAINTRIP_URL names an installation that runs already.
import { chromium } from "@playwright/test";
import sharp from "sharp";
import { findBrowser } from "../support/find-browser.mjs";
import { demoServer } from "./demo-server.ts";
import { screensOf, settled } from "./screens.ts";

const PICTURES = [
  ["ranked-sites", "sites"],
  ["site", "sites-siteId"],
] as const;

const server = await demoServer();
const browser = await chromium.launch({
  executablePath: findBrowser() ?? "chromium",
  args: ["--no-sandbox", "--disable-background-networking"],
});
try {
  for (const colorScheme of ["light", "dark"] as const) {
    const context = await browser.newContext({
      ...{ viewport: { width: 1280, height: 800 }, colorScheme, storageState: server.session },
    });
    const screens = await screensOf(server.url, context.request);
    const page = await context.newPage();
    for (const [file, name] of PICTURES) {
      const screen = screens.find((s) => s.name === name);
      if (!screen) throw new Error(`there is no page ${name} in the demo`);
      await page.goto(server.url + screen.at);
      await settled(page);
      // A palette of 128 colours is enough for a page and takes a third of the room.
      const picture = await sharp(await page.screenshot())
        .png({ palette: true, colours: 128 })
        .toBuffer();
      await sharp(picture).toFile(`app/_pictures/${file}-${colorScheme}.png`);
      console.log(`app/_pictures/${file}-${colorScheme}.png, ${Math.round(picture.length / 1024)} kB`);
    }
    await context.close();
  }
} finally {
  await browser.close();
  await server.stop();
}
