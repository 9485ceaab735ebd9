import { chmodSync, mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import type { TestProject } from "vitest/node";
import { attachEmbedded, type DatabaseAddress, releaseEmbedded } from "../../lib/store/embedded.ts";
import { migrate } from "../../lib/store/migrate.ts";

declare module "vitest" {
  export interface ProvidedContext {
    template: DatabaseAddress;
  }
}

/** One embedded server for the run, with a migrated template database that each test file copies. */
export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-test-"));
  chmodSync(folder, 0o755); // the postgres user must be able to enter
  process.env.RAINTRIP_POSTGRES_SETTINGS = JSON.stringify({ fsync: "off", full_page_writes: "off", synchronous_commit: "off" });
  const address = await attachEmbedded(folder);
  await migrate(address);
  project.provide("template", address);
  return async () => {
    await releaseEmbedded(folder);
    rmSync(folder, { recursive: true, force: true });
  };
}
