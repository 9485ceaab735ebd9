// `npm test`: every kind of test, with all of its own set-up. Plain Node with no dependency, because it may start
// before anything is installed. Ends with one line that counts.
import { spawn, spawnSync } from "node:child_process";
import { closeSync, existsSync, mkdirSync, openSync, readdirSync, readFileSync, rmSync } from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { build, checkNode, install } from "../lib/cli/start.mjs";
import { auditDependencies } from "./support/dependency-audit.mjs";
import { findBrowser } from "./support/find-browser.mjs";
import { startSystemPostgres } from "./support/system-postgres.mjs";

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "..");
const results = path.join(root, "test-results");
process.chdir(root);
process.env.NEXT_TELEMETRY_DISABLED = "1";
process.env.CHECKPOINT_DISABLE = "1";

const trouble = checkNode();
if (trouble) {
  console.error(`Raintrip: ${trouble}`);
  process.exit(3);
}
install();
mkdirSync(results, { recursive: true });
// Hours of `npm run test:long` lie beside what this run makes anew.
for (const name of readdirSync(results).filter((entry) => entry !== "long"))
  rmSync(path.join(results, name), { recursive: true, force: true });

let passed = 0;
let failed = 0;
let skipped = 0;
const summary = [];
/** Named again at the very end: whoever reads a log from somewhere else may have nothing but its last lines. */
const failures = [];
const secondTries = [];

function local(name) {
  return path.join(root, "node_modules", ".bin", name);
}

function run(command, args, env = {}) {
  const started = Date.now();
  const done = spawnSync(command, args, { cwd: root, stdio: "inherit", env: { ...process.env, ...env } });
  return { ok: done.status === 0, seconds: Math.round((Date.now() - started) / 1000) };
}

/** A check without cases of its own counts as one. */
function check(name, command, args) {
  console.log(`\n== ${name}`);
  const { ok, seconds } = run(command, args);
  if (ok) passed++;
  else failed++;
  summary.push(`${ok ? "ok  " : "FAIL"} ${name} (${seconds} s)`);
}

/** Begin a check whose words are told when it has ended. @returns waits for that, and counts it */
function beside(name, command, args) {
  const log = path.join(results, `${name.replaceAll(/\W+/g, "-")}.log`);
  const out = openSync(log, "w");
  const started = Date.now();
  let endedAt = 0;
  const child = spawn(command, args, { cwd: root, stdio: ["ignore", out, out] });
  const ends = new Promise((resolve) => {
    child.once("error", () => resolve(null));
    child.once("exit", (code) => resolve(code));
  }).then((code) => {
    endedAt = Date.now();
    return code;
  });
  return async () => {
    const code = await ends;
    closeSync(out);
    console.log(`\n== ${name}\n${readFileSync(log, "utf8")}`);
    if (code === 0) passed++;
    else failed++;
    summary.push(
      `${code === 0 ? "ok  " : "FAIL"} ${name} (${Math.round((endedAt - started) / 1000)} s, beside the above)`,
    );
  };
}

/** A suite that writes counts as JSON; one that fails without any count has failed once. */
function suite(name, command, args, file, count, env = {}) {
  console.log(`\n== ${name}`);
  const { ok, seconds } = run(command, args, env);
  const counted = existsSync(file)
    ? count(JSON.parse(readFileSync(file, "utf8")))
    : { passed: 0, failed: 0, skipped: 0 };
  for (const line of counted.failures ?? []) failures.push(`${name}: ${line}`);
  for (const line of counted.secondTries ?? []) secondTries.push(`${name}: ${line}`);
  passed += counted.passed;
  failed += counted.failed + (!ok && counted.failed === 0 ? 1 : 0);
  skipped += counted.skipped;
  summary.push(
    `${ok ? "ok  " : "FAIL"} ${name}: ${counted.passed} passed, ${counted.failed} failed, ${counted.skipped} skipped (${seconds} s)`,
  );
}

/** The first lines of a message, on one line. */
const brief = (message) =>
  String(message ?? "no message")
    .split("\n")
    .slice(0, 3)
    .join(" | ")
    .slice(0, 400);

const vitestCount = (r) => ({
  passed: r.numPassedTests,
  failed: r.numFailedTests,
  skipped: r.numPendingTests + r.numTodoTests,
  failures: r.testResults.flatMap((file) => [
    ...(file.status === "failed" && file.message ? [`${path.basename(file.name)}: ${brief(file.message)}`] : []),
    ...file.assertionResults
      .filter((t) => t.status === "failed")
      .map((t) => `${path.basename(file.name)}: ${t.fullName}: ${brief(t.failureMessages?.[0])}`),
  ]),
});
const specsOf = (suites = []) => suites.flatMap((s) => [...(s.specs ?? []), ...specsOf(s.suites)]);
const playwrightCount = ({ stats, suites }) => ({
  passed: stats.expected + stats.flaky,
  failed: stats.unexpected,
  skipped: stats.skipped,
  failures: specsOf(suites)
    .filter((spec) => !spec.ok)
    .map((spec) => `${spec.file}: ${spec.title}: ${brief(spec.tests.at(-1)?.results.at(-1)?.error?.message)}`),
  secondTries: specsOf(suites)
    .filter((spec) => spec.tests.some((test) => test.status === "flaky"))
    .map((spec) => `${spec.file}: ${spec.title}: ${brief(spec.tests[0]?.results[0]?.error?.message)}`),
});

function vitest(name, project, filters, env) {
  const file = path.join(results, `${name.replaceAll(" ", "-")}.json`);
  const args = [
    "run",
    "--config",
    "tests/vitest.config.ts",
    "--project",
    project,
    "--reporter=default",
    "--reporter=json",
    `--outputFile=${file}`,
    ...filters,
  ];
  suite(name, local("vitest"), args, file, vitestCount, env);
}

check("prepare", process.execPath, ["lib/cli/postinstall.mjs"]);
check("lint", local("biome"), ["check", "--error-on-warnings", "."]);
check("import directions", local("depcruise"), ["lib", "app", "seed", "--config", ".dependency-cruiser.mjs"]);
check("page types", local("next"), ["typegen"]);
check("types", local("tsc"), ["--noEmit", "-p", "."]);
vitest("pure tests", "pure", [], {});
vitest("database tests", "database", [], {});

// It hangs on what the registry learned today, so it is told and fails nothing here; the build machine's own step does.
const { kind, says } = auditDependencies();
console.log(`\n== dependency audit\n${says}`);
summary.push(`${kind === "clean" ? "ok  " : kind === "not run" ? "left out:" : "LOOK"} dependency audit, ${says}`);

build();
// Kills wait for starts and ends of processes most of their time: the next suite runs beside them.
const kills = beside("kills and load, short", process.execPath, [
  "--conditions=react-server",
  "--import",
  "tsx",
  "tests/long/main.ts",
  "--short",
]);
const server = await startSystemPostgres();
if (server) {
  const failedBefore = failed;
  vitest("database tests on a server given by DATABASE_URL", "database", ["tests/store", "tests/ingest"], {
    DATABASE_URL: server.url,
  });
  if (failed > failedBefore)
    console.log(`\nthe server's log ends:\n${server.said().split("\n").slice(-120).join("\n")}`);
  await server.stop();
} else {
  console.log("\n== no PostgreSQL server is installed on this system: the run against DATABASE_URL is left out");
  summary.push("left out: database tests on a server given by DATABASE_URL (none installed)");
}

await kills();
const browser = findBrowser();
if (browser) {
  const file = path.join(results, "browser.json");
  suite(
    "browser tests",
    local("playwright"),
    ["test", "--config", "tests/browser/playwright.config.ts"],
    file,
    playwrightCount,
    {
      RAINTRIP_BROWSER: browser,
      PLAYWRIGHT_JSON_OUTPUT_NAME: file,
    },
  );
} else {
  failed++;
  summary.push("FAIL browser tests: no Chromium found and none could be installed");
}

console.log(`\n${summary.join("\n")}\n`);
for (const line of secondTries) console.log(`passed at the second try only: ${line}`);
for (const line of failures) console.log(`failed: ${line}`);
console.log(`${passed} passed, ${failed} failed${skipped ? `, ${skipped} skipped` : ""}`);
process.exit(failed === 0 ? 0 : 1);
