import path from "node:path";
import { defineConfig } from "@playwright/test";

const root = path.resolve(import.meta.dirname, "..", "..");

export default defineConfig({
  testDir: import.meta.dirname,
  outputDir: path.join(root, "test-results", "browser"),
  reporter: [["list"], ["json"]],
  timeout: 120_000,
  expect: { timeout: 15_000 },
  // A test waits for pages, rounds of the worker and phones most of its time: two at once, each file with an installation of
  // its worker's own, keep two cores busy.
  workers: 2,
  // One more try on a machine that is busy with other things. `npm test` names each test that needed it.
  retries: process.env.CI ? 1 : 0,
  use: {
    viewport: { width: 1440, height: 900 },
    launchOptions: {
      executablePath: process.env.RAINTRIP_BROWSER ?? "/usr/bin/chromium",
      args: [
        "--no-sandbox",
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
      ],
    },
    actionTimeout: 20_000,
    trace: "retain-on-failure",
  },
});
