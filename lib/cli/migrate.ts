import { readyDatabase } from "../jobs/ready.ts";

export async function migrateCommand(): Promise<number> {
  const { applied } = await readyDatabase();
  process.stdout.write(
    applied.length > 0 ? `Applied ${applied.join(", ")}\n` : "Nothing to apply: the database is at this release.\n",
  );
  return 0;
}
