import { existsSync, statfsSync } from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";
import { noticeSettings } from "../jobs/notice-run.ts";
import { weatherFeed } from "../jobs/weather-run.ts";
import { signInSettings } from "../sign-in/settings.ts";
import { ensureDataFolder } from "../store/data-folder.ts";
import { databaseFindings } from "./doctor-database.ts";
import { findBrowser } from "./find-browser.ts";
import type { Finding } from "./finding.ts";
import { readArguments } from "./read-arguments.ts";

/** Checks of this installation, each with what to do when it fails. Exit status 3 when one fails. */
export async function doctorCommand(args: string[]): Promise<number> {
  readArguments({ args });
  let failed = 0;
  // Each as soon as it is known: what comes last may take its time.
  for (const check of [node, pages, fonts, browser, disk, databaseFindings, signIn, weather, notices])
    for (const f of [await check()].flat()) {
      if (f.state === "FAIL") failed++;
      process.stdout.write(`${f.state.padEnd(4)} ${f.what}: ${f.says}\n`);
    }
  if (failed > 0) process.stdout.write(`${failed} to mend\n`);
  return failed === 0 ? 0 : 3;
}

function node(): Finding {
  const [major = 0, minor = 0] = process.versions.node.split(".").map(Number);
  const ok = major > 20 || (major === 20 && minor >= 19);
  return {
    what: "node",
    state: ok ? "ok" : "FAIL",
    says: ok ? process.versions.node : `${process.versions.node} is too old; install Node 20.19 or newer`,
  };
}

function pages(): Finding {
  const built = existsSync(path.join(process.cwd(), ".next", "BUILD_ID"));
  return {
    what: "pages",
    state: built ? "ok" : "note",
    says: built ? "built" : "not built yet; npm start builds them at its first start",
  };
}

/** Of the pages, and of what is drawn for print. */
const FONTS = [
  ["@fontsource-variable/inter", "files/inter-latin-wght-normal.woff2", "pages"],
  ["dejavu-fonts-ttf", "ttf/DejaVuSansCondensed.ttf", "checklists and reports"],
] as const;

function fonts(): Finding {
  const what = "fonts";
  const require = createRequire(import.meta.url);
  const missing = FONTS.filter(([name, file]) => {
    try {
      return !existsSync(path.join(path.dirname(require.resolve(`${name}/package.json`)), file));
    } catch {
      return true; // not installed
    }
  });
  if (missing.length === 0)
    return { what, state: "ok", says: "come with the program; nothing is fetched from elsewhere" };
  const of = missing.map(([name, , use]) => `of the ${use} (${name})`).join(" and ");
  return { what, state: "FAIL", says: `the font ${of} is not installed; run: npm ci` };
}

function browser(): Finding {
  const found = findBrowser();
  return {
    what: "browser",
    state: found ? "ok" : "note",
    says: found
      ? `${found} (for the browser tests; people use any current browser)`
      : "no Chromium here. Pages need none on this machine; the browser tests do: npx playwright install chromium",
  };
}

function weather(): Finding {
  const feed = weatherFeed();
  const what = "weather feed";
  if (feed.kind === "wrong") return { what, state: "FAIL", says: `${feed.says}; nothing is fetched` };
  return {
    what,
    state: "ok",
    says: feed.kind === "off" ? "off; weather comes from files" : `asks ${feed.settings.baseUrl.host} every hour`,
  };
}

function signIn(): Finding {
  const what = "sign-in";
  try {
    const { url, provider } = signInSettings();
    return {
      what,
      state: "ok",
      says: `people reach it at ${url.origin}${provider ? `; ${provider.name} by ${new URL(provider.issuer).host}` : ""}`,
    };
  } catch (error) {
    return { what, state: "FAIL", says: (error as Error).message };
  }
}

function notices(): Finding {
  const what = "notices";
  const { settings, wrong } = noticeSettings();
  if (wrong) return { what, state: "FAIL", says: `${wrong}; no e-mail is sent` };
  return {
    what,
    state: "ok",
    says: settings.smtp ? `e-mail by ${new URL(settings.smtp.url).host}` : "no mail server is set; webhooks only",
  };
}

const LEAST_FREE_GB = 2;
const SOON_FULL_GB = 10;

function disk(): Finding {
  const what = "disk";
  let folder: string;
  try {
    folder = ensureDataFolder();
  } catch (error) {
    return { what, state: "FAIL", says: (error as Error).message };
  }
  const { bavail, bsize, files, ffree } = statfsSync(folder);
  const freeGb = (bavail * bsize) / 1e9;
  const says = `${freeGb.toFixed(1)} GB free for ${folder}`;
  // Some file systems count no files.
  if (files > 0 && ffree < 1000)
    return { what, state: "FAIL", says: `${says}, but room for ${ffree} more files only; remove some` };
  if (freeGb <= LEAST_FREE_GB)
    return {
      what,
      state: "FAIL",
      says: `${says}; free some space, or move the folder and set RAINTRIP_DATA: the database stops when it runs out`,
    };
  return {
    what,
    state: freeGb < SOON_FULL_GB ? "note" : "ok",
    says: freeGb < SOON_FULL_GB ? `${says}; imports and backups need more soon` : says,
  };
}
