import { defineConfig } from "prisma/config";

// Prisma only generates the client here; migrations are applied by lib/store/migrate.ts. The schema engine is a
// download that not every machine can make, and `generate` does not use it.
process.env.PRISMA_SCHEMA_ENGINE_BINARY ??= process.execPath;

export default defineConfig({ schema: "prisma/schema.prisma", migrations: { path: "prisma/migrations" } });
