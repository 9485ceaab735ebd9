import { spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { describe, expect, test } from "vitest";

const root = path.resolve(import.meta.dirname, "..");

/** Run the project's own rules over a made-up tree, so that a pattern that matches nothing is found out. */
function violations(files: Record<string, string>): string[] {
  const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-directions-"));
  try {
    writeFileSync(path.join(folder, "tsconfig.json"), readFileSync(path.join(root, "tsconfig.json")));
    writeFileSync(path.join(folder, "package.json"), '{"type":"module"}');
    for (const [name, text] of Object.entries(files)) {
      mkdirSync(path.dirname(path.join(folder, name)), { recursive: true });
      writeFileSync(path.join(folder, name), text);
    }
    const folders = [...new Set(Object.keys(files).map((name) => name.split("/")[0] as string))];
    const args = [...folders, "--config", path.join(root, ".dependency-cruiser.mjs"), "--output-type", "json"];
    const done = spawnSync(path.join(root, "node_modules", ".bin", "depcruise"), args, {
      cwd: folder,
      encoding: "utf8",
    });
    const report = JSON.parse(done.stdout) as { summary: { violations: { rule: { name: string }; from: string }[] } };
    return report.summary.violations.map((v) => `${v.rule.name} ${v.from}`);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

describe("import directions", () => {
  test("each forbidden direction is reported, and the allowed ones beside it are not", { timeout: 60_000 }, () => {
    const found = violations({
      "lib/core/a.ts": "export const a = 1;",
      "lib/store/db.ts": 'import { a } from "../core/a.ts"; export const db = a;',
      "lib/store/up.ts": 'import { r } from "../reads/r.ts"; export const up = r;',
      "lib/store/generated/client.ts": "export const client = 1;",
      "lib/reads/r.ts": 'import { db } from "../store/db.ts"; export const r = db;',
      "lib/reads/prisma.ts": 'import { client } from "../store/generated/client.ts"; export const p = client;',
      "lib/weather/good.ts": 'import { a } from "../core/a.ts"; export const g = a;',
      "lib/weather/late.ts": 'import { d } from "../dispatch/d.ts"; export const l = d;',
      "lib/weather/node.ts": 'import { readFileSync } from "node:fs"; export const n = readFileSync;',
      "lib/dispatch/d.ts": 'import { g } from "../weather/good.ts"; export const d = g;',
      "lib/dispatch/shell.ts": 'import { db } from "../store/db.ts"; export const s = db;',
      "lib/reads/page.ts": 'import { page } from "../../app/page.ts"; export const q = page;',
      "lib/reads/truth.ts": 'import { t } from "../../seed/t.ts"; export const q = t;',
      "lib/report/draw.ts": 'import { g } from "../weather/good.ts"; export const d = g;',
      "lib/report/reach.ts": 'import { db } from "../store/db.ts"; export const r = db;',
      "app/page.ts": 'import { r } from "../lib/reads/r.ts"; export const page = r;',
      "app/short-cut.ts": 'import { db } from "../lib/store/db.ts"; export const c = db;',
      "seed/t.ts": "export const t = 1;",
      "lib/jobs/x.ts": 'import { y } from "./y.ts"; export const x = y;',
      "lib/jobs/y.ts": 'import { x } from "./x.ts"; export const y = x;',
    });
    for (const expected of [
      "pure-weather lib/weather/late.ts",
      "pure-weather lib/weather/node.ts",
      "pure-dispatch lib/dispatch/shell.ts",
      "shell-below-doors lib/store/up.ts",
      "store-alone-knows-the-database lib/reads/prisma.ts",
      "app-through-doors app/short-cut.ts",
      "report-writes-what-it-is-given lib/report/reach.ts",
      "nothing-imports-app lib/reads/page.ts",
      "seed-for-scripts-and-tests lib/reads/truth.ts",
    ]) {
      expect(found).toContain(expected);
    }
    expect(found.some((v) => v.startsWith("no-circular"))).toBe(true);
    for (const fine of [
      "lib/weather/good.ts",
      "lib/dispatch/d.ts",
      "lib/store/db.ts",
      "app/page.ts",
      "lib/reads/r.ts",
      "lib/report/draw.ts",
    ]) {
      expect(found.filter((v) => v.endsWith(` ${fine}`) && !v.startsWith("no-circular"))).toEqual([]);
    }
  });
});

const PURE = [
  "core",
  "weather",
  "faults",
  "contract",
  "mapping",
  "correlate",
  "grounding",
  "diagnose",
  "coverage",
  "visit",
  "dispatch",
];

function sources(folder: string): string[] {
  return readdirSync(folder, { recursive: true, encoding: "utf8" })
    .filter((name) => /\.tsx?$/.test(name) && !name.includes("generated"))
    .map((name) => path.join(folder, name));
}

describe("pure rooms", () => {
  test("read no clock, no platform randomness, no environment and no network", () => {
    const impure = /\bDate\.now\(|\bnew Date\(\s*\)|\bMath\.random\(|\bprocess\.|\bfetch\(|\bperformance\.now\(/;
    const guilty = PURE.flatMap((room) => sources(path.join(root, "lib", room))).flatMap((file) =>
      readFileSync(file, "utf8")
        .split("\n")
        .map((line, i) => ({ line: line.replace(/\/\/.*|^\s*\*.*/, ""), at: `${path.relative(root, file)}:${i + 1}` }))
        .filter(({ line }) => impure.test(line))
        .map(({ at }) => at),
    );
    expect(guilty).toEqual([]);
  });
});

describe("doors", () => {
  test("every read and write that touches the store is marked server-only, so that no browser bundle can hold it", () => {
    const unmarked = ["reads", "writes"]
      .flatMap((room) => sources(path.join(root, "lib", room)))
      .filter((file) => {
        const text = readFileSync(file, "utf8");
        return /from "\.\.\/(store|jobs|ingest)\//.test(text) && !text.includes('import "server-only"');
      });
    expect(unmarked.map((file) => path.relative(root, file))).toEqual([]);
  });
});

describe("installation", () => {
  test("the lock file names no download address", () => {
    expect(readFileSync(path.join(root, "package-lock.json"), "utf8")).not.toMatch(/"resolved": "https?:/);
  });
});
