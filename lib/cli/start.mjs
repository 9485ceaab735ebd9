// `npm start` on a fresh machine: installs, builds when sources changed, then serves. Plain Node with no
// dependency, because nothing is installed yet when it starts.
import { spawn, spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import net from "node:net";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { inOwnTurn } from "./own-turn.mjs";

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "..", "..");
const MINIMUM_NODE = [20, 19];

const say = (sentence) => process.stderr.write(`Raintrip: ${sentence}\n`);

function giveUp(sentence) {
  say(sentence);
  process.exit(3);
}

/** Two starts of one copy of the program share what is installed and built: the second waits and then finds it done. */
const alone = (what, work) =>
  inOwnTurn(path.join(root, ".cache", "raintrip-start.lock"), (line) => say(`${what}: ${line}`), work);

export function checkNode(version = process.versions.node) {
  const [major, minor] = version.split(".").map(Number);
  const enough = major > MINIMUM_NODE[0] || (major === MINIMUM_NODE[0] && minor >= MINIMUM_NODE[1]);
  return enough
    ? null
    : `Node ${version} is too old; install Node ${MINIMUM_NODE.join(".")} or newer (22 and 24 are fine).`;
}

function checkFolder() {
  const folder = path.resolve(process.env.RAINTRIP_DATA || path.join(root, ".raintrip"));
  try {
    mkdirSync(folder, { recursive: true });
    writeFileSync(path.join(folder, ".write-test"), "");
    return null;
  } catch (error) {
    return `the data folder ${folder} cannot be written (${error.code}). Give this user write access, or set RAINTRIP_DATA to another folder.`;
  }
}

function checkPort(port) {
  return new Promise((resolve) => {
    const probe = net.createServer();
    probe.once("error", (error) =>
      resolve(
        error.code === "EADDRINUSE"
          ? `port ${port} is taken. Stop what uses it, or choose another: PORT=${port + 1} npm start`
          : `port ${port} cannot be opened (${error.code}).`,
      ),
    );
    probe.listen(port, process.env.RAINTRIP_LISTEN || "127.0.0.1", () => probe.close(() => resolve(null)));
  });
}

function filesUnder(folder, into = []) {
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const full = path.join(folder, entry.name);
    if (entry.isDirectory()) {
      if (entry.name !== "generated" && entry.name !== "node_modules") filesUnder(full, into);
    } else into.push(full);
  }
  return into;
}

function digest(files) {
  const hash = createHash("sha256");
  for (const file of files.sort()) hash.update(path.relative(root, file)).update(readFileSync(file));
  return hash.digest("hex");
}

function run(command, args, title) {
  say(`${title} …`);
  const done = spawnSync(command, args, {
    cwd: root,
    encoding: "utf8",
    shell: process.platform === "win32",
    env: { ...process.env, NEXT_TELEMETRY_DISABLED: "1" },
    maxBuffer: 64 * 1024 * 1024,
  });
  if (done.status !== 0) {
    process.stderr.write(`${done.stdout ?? ""}\n${done.stderr ?? ""}\n`);
    giveUp(`${title} failed; the lines above say why.`);
  }
}

function stamped(file, value) {
  return existsSync(file) && readFileSync(file, "utf8") === value;
}

/** Install when the lock file is not the one that was installed. */
export function install() {
  const lock = digest([path.join(root, "package-lock.json")]);
  const stamp = path.join(root, "node_modules", ".raintrip-lock");
  if (stamped(stamp, lock)) return;
  alone("installing packages", () => installNow(lock, stamp));
}

function installNow(lock, stamp) {
  if (stamped(stamp, lock)) return;
  if (existsSync(path.join(root, "node_modules", ".package-lock.json")) && sameVersions()) {
    writeFileSync(stamp, lock);
    return;
  }
  run("npm", ["ci", "--no-audit", "--no-fund"], "installing packages (once)");
  writeFileSync(stamp, lock);
}

/** `npm ci` by hand counts: what is installed is then exactly what the lock file names. */
function sameVersions() {
  const versions = (file) => {
    const { packages } = JSON.parse(readFileSync(file, "utf8"));
    return new Map(
      Object.entries(packages)
        .filter(([name]) => name)
        .map(([name, p]) => [name, p]),
    );
  };
  const wanted = versions(path.join(root, "package-lock.json"));
  const installed = versions(path.join(root, "node_modules", ".package-lock.json"));
  for (const [name, p] of wanted) if (!p.optional && installed.get(name)?.version !== p.version) return false;
  return true;
}

/** Build when anything that goes into the build changed. */
export function build() {
  const sources = ["app", "lib", "prisma"].flatMap((name) => filesUnder(path.join(root, name)));
  for (const name of ["package-lock.json", "next.config.mjs", "tsconfig.json", "package.json"])
    sources.push(path.join(root, name));
  const wanted = digest(sources);
  const stamp = path.join(root, ".next", "raintrip-build");
  if (stamped(stamp, wanted)) return;
  alone("building the pages", () => {
    if (stamped(stamp, wanted)) return;
    run(process.execPath, ["lib/cli/postinstall.mjs"], "preparing the database client");
    run(process.execPath, ["node_modules/next/dist/bin/next", "build"], "building the pages (about a minute, once)");
    writeFileSync(stamp, wanted);
  });
}

async function main() {
  const port = Number(process.env.PORT || 4710);
  const trouble = checkNode() ?? checkFolder() ?? (await checkPort(port));
  if (trouble) giveUp(trouble);
  install();
  build();
  const server = spawn(
    process.execPath,
    [
      "--conditions=react-server",
      "--import",
      "tsx",
      "lib/cli/main.ts",
      "serve",
      ...(process.env.RAINTRIP_DEMO === "0" ? [] : ["--demo-when-empty"]),
      "--port",
      String(port),
    ],
    {
      cwd: root,
      stdio: "inherit",
      env: { ...process.env, NEXT_TELEMETRY_DISABLED: "1" },
    },
  );
  // The terminal sends Ctrl-C to both; the server stops in order and this process only waits for it.
  for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"])
    process.on(signal, () => server.kill(signal === "SIGHUP" ? "SIGTERM" : signal));
  server.on("exit", (code, signal) => process.exit(code ?? (signal ? 1 : 0)));
}

if (process.argv[1] && path.resolve(process.argv[1]) === fileURLToPath(import.meta.url)) await main();
