import { chmodSync, mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import postgres from "postgres";
import type { TestProject } from "vitest/node";
import { attachEmbedded, type DatabaseAddress, releaseEmbedded } from "../../lib/store/embedded.ts";
import { migrate } from "../../lib/store/migrate.ts";
import { renamed } from "./renamed.ts";

declare module "vitest" {
  export interface ProvidedContext {
    template: DatabaseAddress;
    /** May make databases. */
    adminUrl: string;
  }
}

const TEMPLATE = "raintrip";

/**
 * One server for the run, with a migrated template database that each test file copies: the embedded server, or
 * the one that DATABASE_URL names, which must be on loopback.
 */
export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  const url = process.env.DATABASE_URL;
  const { address, adminUrl, release } = url ? await given(url) : await embedded();
  await migrate(address);
  project.provide("template", address);
  project.provide("adminUrl", adminUrl);
  return release;
}

async function given(url: string) {
  if (!["127.0.0.1", "localhost", "[::1]"].includes(new URL(url).hostname)) {
    throw new Error("The tests make and drop databases: they run only against a server on this machine.");
  }
  const admin = postgres(url, { max: 1, onnotice: () => {} });
  await admin.unsafe(`DROP DATABASE IF EXISTS ${TEMPLATE} WITH (FORCE)`);
  await admin.unsafe(`CREATE DATABASE ${TEMPLATE}`);
  await admin.end();
  const own = renamed(url, TEMPLATE);
  const address: DatabaseAddress = { ownerUrl: own, appUrl: own, bootstrapUrl: null, embedded: false };
  return { address, adminUrl: url, release: async () => {} };
}

async function embedded() {
  const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-test-"));
  chmodSync(folder, 0o755); // the postgres user must be able to enter
  process.env.RAINTRIP_POSTGRES_SETTINGS = JSON.stringify({
    fsync: "off",
    full_page_writes: "off",
    synchronous_commit: "off",
  });
  const address = await attachEmbedded(folder);
  const release = async () => {
    await releaseEmbedded(folder);
    rmSync(folder, { recursive: true, force: true });
  };
  return { address, adminUrl: address.bootstrapUrl as string, release };
}
