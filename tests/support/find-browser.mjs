import { spawnSync } from "node:child_process";
import { existsSync } from "node:fs";

const PLACES = [
  process.env.RAINTRIP_BROWSER,
  "/usr/bin/chromium",
  "/usr/bin/chromium-browser",
  "/usr/bin/google-chrome",
  "/Applications/Chromium.app/Contents/MacOS/Chromium",
];

/** A Chromium on this system, installed from the system's packages when there is none and we may. */
export function findBrowser() {
  const found = () => PLACES.find((place) => place && existsSync(place)) ?? null;
  if (found()) return found();
  if (process.getuid?.() === 0 && existsSync("/usr/bin/apt-get")) {
    console.log("Raintrip: installing Chromium for the browser tests …");
    const env = { ...process.env, DEBIAN_FRONTEND: "noninteractive" };
    spawnSync("apt-get", ["update", "-qq"], { stdio: "ignore", env });
    spawnSync("apt-get", ["install", "-y", "-qq", "--no-install-recommends", "chromium"], { stdio: "ignore", env });
  }
  return found();
}
