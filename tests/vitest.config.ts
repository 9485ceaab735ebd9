import path from "node:path";
import { defineConfig } from "vitest/config";

const root = path.resolve(import.meta.dirname, "..");

// Two projects: `pure` needs nothing and runs in seconds; `database` gets a PostgreSQL and a database a file.
export default defineConfig({
  root,
  resolve: { alias: { "server-only": path.join(root, "tests/support/server-only.ts"), "@": root } },
  test: {
    reporters: ["default"],
    // A slip of the driver on which the program starts anew (lib/store/lost-socket.ts); tests that cut connections go on.
    onUnhandledError: (error) =>
      !(/reading 'write'/.test(error.message ?? "") && /\bnextWrite\b.*postgres/s.test(error.stack ?? "")),
    projects: [
      {
        extends: true,
        test: {
          name: "pure",
          // Pure code keeps nothing between files, so they share two processes.
          isolate: false,
          maxWorkers: 2,
          // Nothing is timed in a test; a busy machine must not fail one.
          testTimeout: 60_000,
          include: [
            "tests/{core,weather,faults,contract,mapping,correlate,diagnose,grounding,coverage,visit,dispatch,truth,seed,app,study,live,report,fuzz}/**/*.test.ts",
            "tests/*.test.ts",
          ],
        },
      },
      {
        extends: true,
        test: {
          name: "database",
          include: ["tests/{store,ingest,jobs,doors,cli}/**/*.test.ts"],
          globalSetup: ["tests/support/postgres.ts"],
          testTimeout: 120_000,
          hookTimeout: 120_000,
          maxWorkers: 2,
        },
      },
    ],
  },
});
