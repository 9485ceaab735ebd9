import { readyDatabase } from "../jobs/ready.ts";
import { readArguments } from "./read-arguments.ts";

export async function migrateCommand(args: string[]): Promise<number> {
  readArguments({ args });
  const { applied } = await readyDatabase();
  process.stdout.write(
    applied.length > 0 ? `Applied ${applied.join(", ")}\n` : "Nothing to apply: the database is at this release.\n",
  );
  return 0;
}
