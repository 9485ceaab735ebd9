import { existsSync } from "node:fs";

const PLACES = [
  process.env.RAINTRIP_BROWSER,
  "/usr/bin/chromium",
  "/usr/bin/chromium-browser",
  "/Applications/Chromium.app/Contents/MacOS/Chromium",
];

/** A Chromium on this system; null: none in the usual places. */
export function findBrowser(): string | null {
  return PLACES.find((place) => place !== undefined && existsSync(place)) ?? null;
}
