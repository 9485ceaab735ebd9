// What the registry knows of faults in the packages that run with the program (npm audit). Plain Node: it is a step of
// `npm test` and of the build machine, and by itself `npm run audit`. Without a registry that answers, it says so and passes.
import { spawnSync } from "node:child_process";
import path from "node:path";
import { fileURLToPath } from "node:url";

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "..", "..");
const SERIOUS = ["critical", "high"];
const LESS = ["moderate", "low", "info"];
const TIMEOUT_MS = 60_000;

/**
 * Ask the registry.
 * @param {string} [folder] with package.json and package-lock.json
 * @returns {{ kind: "not run" | "clean" | "serious" | "less", says: string }}
 */
export function auditDependencies(folder = root, env = process.env) {
  // A registry that is not there is asked once: nobody waits a minute for it.
  const args = ["audit", "--json", "--omit=dev", "--fetch-retries=0", "--fetch-timeout=20000"];
  const done = spawnSync("npm", args, {
    cwd: folder,
    encoding: "utf8",
    timeout: TIMEOUT_MS,
    env,
    shell: process.platform === "win32",
  });
  return judge(done.stdout ?? "", done.error ? done.error.message : (done.stderr ?? ""));
}

/** @param {string} text what `npm audit --json` printed @param {string} said what it said beside it */
export function judge(text, said) {
  const report = parse(text);
  const counts = report?.metadata?.vulnerabilities;
  if (!counts || report.error) {
    const why = report?.statusCode
      ? `the registry answered ${report.statusCode} to the audit`
      : `no network, or no registry (${firstLine(report?.message ?? said) || "no answer"})`;
    return { kind: "not run", says: `not run: ${why}` };
  }
  const serious = SERIOUS.reduce((sum, level) => sum + (counts[level] ?? 0), 0);
  const less = LESS.reduce((sum, level) => sum + (counts[level] ?? 0), 0);
  const total = report.metadata.dependencies?.prod ?? report.metadata.dependencies?.total ?? 0;
  if (serious + less === 0) return { kind: "clean", says: `${total} packages, no known fault` };
  const list = Object.values(report.vulnerabilities ?? {})
    .sort((a, b) => [...SERIOUS, ...LESS].indexOf(a.severity) - [...SERIOUS, ...LESS].indexOf(b.severity))
    .map(
      (one) =>
        `${one.name} ${one.range} (${one.severity}${one.fixAvailable ? ", an update mends it" : ", no update yet"})`,
    );
  return { kind: serious > 0 ? "serious" : "less", says: `${serious} serious and ${less} lesser: ${list.join("; ")}` };
}

function parse(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

const firstLine = (text) =>
  String(text)
    .split("\n")
    .find((line) => line.trim() !== "")
    ?.trim()
    .slice(0, 200) ?? "";

if (process.argv[1] && path.resolve(process.argv[1]) === fileURLToPath(import.meta.url)) {
  const { kind, says } = auditDependencies();
  console.log(`dependency audit: ${says}`);
  process.exit(kind === "serious" ? 1 : 0);
}
